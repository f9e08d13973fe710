/** The recorded strokes of `npm start -- --recorded`: other people's files, so what they are is checked, not assumed. */
import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { beforeAll, describe, expect, it } from 'vitest';
import {
  BEFORE_ONSET_SAMPLES,
  fileOf,
  LAYERS,
  ONSET_SHARE,
  RATE_HZ,
  recordedStrokes,
} from '../../scripts/recorded-strokes.mjs';
import { resample } from '../../src/filters/resampler.ts';
import { drumNames } from '../../src/simulation/names.ts';
import { peak } from '../support/signals.ts';

/** Sample rate and length by the header: RFC 9639, 8.2 (20 bits at byte 18, 36 bits that end with byte 26). */
function flacHeader(file: string): { rateHz: number; frames: number } {
  const bytes = readFileSync(fileOf(file));
  expect(bytes.toString('latin1', 0, 4)).toBe('fLaC');
  return { rateHz: bytes.readUIntBE(18, 3) >> 4, frames: (bytes[21] & 15) * 2 ** 32 + bytes.readUInt32BE(22) };
}

describe('the recorded strokes', () => {
  const drums = ['kick', 'hat'];
  let strokes: Awaited<ReturnType<typeof recordedStrokes>>;
  beforeAll(async () => {
    strokes = await recordedStrokes(resample, drums);
  });

  it('are in the public domain, and there for every drum of the kit', () => {
    const { license } = createRequire(import.meta.url)('supersonic-scsynth-samples/package.json') as {
      license: string;
    };
    expect(license).toBe('CC0-1.0');
    expect(Object.keys(LAYERS).sort()).toEqual([...drumNames].sort());
    for (const { file } of Object.values(LAYERS).flat()) expect(flacHeader(file).frames).toBeGreaterThan(4000);
  });

  it('come out at 48 kHz, as long as their header says', () => {
    expect(Object.keys(strokes)).toEqual(drums);
    for (const drum of drums) {
      expect(strokes[drum].map(({ velocity }) => velocity)).toEqual(LAYERS[drum].map(({ velocity }) => velocity));
      strokes[drum].forEach(({ samples }, i) => {
        const { rateHz, frames } = flacHeader(LAYERS[drum][i].file);
        expect(rateHz).toBe(44100);
        const cut = (frames * RATE_HZ) / rateHz - samples.length;
        expect(cut).toBeGreaterThan(-1); // the length is rounded up to whole samples
        expect(cut).toBeLessThan(0.05 * RATE_HZ); // the silence before the blow
      });
    }
  });

  it('begin with their blow, and are neither silent nor broken', () => {
    for (const { samples } of drums.flatMap((drum) => strokes[drum])) {
      const most = peak(samples);
      expect(samples.every(Number.isFinite)).toBe(true);
      expect(most).toBeGreaterThan(0.25);
      expect(most).toBeLessThan(1.26); // full scale, and what the resampler's ringing may add
      expect(samples.findIndex((x) => Math.abs(x) >= ONSET_SHARE * most)).toBeLessThanOrEqual(BEFORE_ONSET_SAMPLES);
    }
    // The loudest sample of a kick lies in its first 20 ms.
    for (const { samples } of strokes['kick']) expect(peak(samples.subarray(0, 960))).toBe(peak(samples));
  });
});
