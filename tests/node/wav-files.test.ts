import { mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, truncateSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { WavInput, WavOutput, writeWavFile } from '../../src/node/wav-files.ts';
import { decodeWav } from '../../src/wav/decode-wav.ts';
import { noise } from '../support/signals.ts';

const options = { sampleRateHz: 48000, channels: 1 };

let folder = '';
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'batterhead-wav-'));
});
afterEach(() => {
  rmSync(folder, { recursive: true, force: true });
});
const at = (name: string) => join(folder, name);

describe('WavInput', () => {
  it('names the file that is missing or broken', () => {
    expect(() => new WavInput('/no/such/file.wav')).toThrow(/no\/such\/file\.wav/);
  });

  it('tells whether the file is shorter than its header says', () => {
    writeWavFile(at('a.wav'), [noise(1000)], { sampleRateHz: 48000 });
    const whole = new WavInput(at('a.wav'));
    expect([whole.truncated, whole.frames]).toEqual([false, 1000]);
    whole.close();
    truncateSync(at('a.wav'), 1000);
    const cut = new WavInput(at('a.wav'));
    expect(cut.truncated).toBe(true);
    expect(cut.frames).toBeLessThan(1000);
    cut.close();
  });
});

describe('WavOutput', () => {
  it('has its name from its end on, and nothing else remains', () => {
    const output = new WavOutput(at('new/a.wav'), options);
    output.write([noise(10)]);
    expect(readdirSync(at('new'))).not.toContain('a.wav');
    expect(output.finish()).toMatchObject({ frames: 10 });
    expect(readdirSync(at('new'))).toEqual(['a.wav']);
    output.discard(); // what has its name stays
    expect(decodeWav(readFileSync(at('new/a.wav'))).channels[0]).toHaveLength(10);
  });

  it('tells why it could not get its name, and leaves nothing behind', () => {
    mkdirSync(at('a.wav/occupied'), { recursive: true });
    expect(() => writeWavFile(at('a.wav'), [noise(10)], { sampleRateHz: 48000 })).toThrow(/rename/);
    expect(readdirSync(folder)).toEqual(['a.wav']);
  });

  it('leaves nothing behind when its options are refused, or when it is discarded, even twice', () => {
    expect(() => new WavOutput(at('a.wav'), { ...options, channels: 0 })).toThrow(RangeError);
    expect(readdirSync(folder)).toEqual([]);
    const output = new WavOutput(at('a.wav'), options);
    output.write([noise(10)]);
    output.discard();
    output.discard();
    expect(readdirSync(folder)).toEqual([]);
  });
});
