import { existsSync, mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { writeNew } from '../../src/node/files.ts';
import { planFolder } from '../../src/node/plan-folder.ts';
import { planJson, planSummary } from '../../src/node/plan-summary.ts';
import { writeWavFile } from '../../src/node/wav-files.ts';
import { noise } from '../support/signals.ts';

const RATE = 48000;
const roomNoise = (seed: number) => noise(RATE / 2, seed, 0.01);

describe('planning a folder', () => {
  let folder = '';
  beforeAll(() => {
    folder = mkdtempSync(join(tmpdir(), 'batterhead-plan-'));
    writeWavFile(join(folder, 'OH.wav'), [roomNoise(1), roomNoise(2)], { sampleRateHz: RATE });
    writeWavFile(join(folder, 'room 10.WAV'), [roomNoise(3)], { sampleRateHz: RATE });
    writeWavFile(join(folder, 'room 9.wav'), [roomNoise(4)], { sampleRateHz: RATE });
    writeWavFile(join(folder, 'mix.wav'), [roomNoise(5), roomNoise(6)], { sampleRateHz: RATE });
    writeFileSync(join(folder, 'notes.txt'), 'no microphone');
    writeFileSync(join(folder, '._OH.wav'), 'what some systems put beside each file');
    mkdirSync(join(folder, 'takes.wav'));
  });
  afterAll(() => {
    rmSync(folder, { recursive: true, force: true });
  });

  it('reads the WAV files in the order that a person would give them, and writes a plan beside them', () => {
    const planned = planFolder(folder);
    expect(planned.planFile).toBe(join(folder, 'plan.json'));
    expect(planned.roles.map(({ file }) => file)).toEqual(['OH.wav', 'OH.wav', 'room 9.wav', 'room 10.WAV']);
    expect(JSON.parse(readFileSync(planned.planFile, 'utf8'))).toEqual(planned.plan);
    expect(readdirSync(folder).filter((name) => name.endsWith('.part'))).toEqual([]);
    const told = planSummary(planned);
    for (const word of ['room 10.WAV', 'overheadLeft', 'its name says room', 'gainDb', 'batterhead mix'])
      expect(told).toContain(word);
    expect(JSON.parse(planJson(planned))).toMatchObject({ planFile: planned.planFile });
  });

  it('never overwrites a plan, its own or another', () => {
    const before = readFileSync(join(folder, 'plan.json'), 'utf8');
    expect(() => planFolder(folder)).toThrow(`${join(folder, 'plan.json')} is there already`);
    expect(readFileSync(join(folder, 'plan.json'), 'utf8')).toBe(before);
  });

  it('names the files from where the plan is', () => {
    const { plan } = planFolder(folder, { output: join(folder, 'plans', 'second.json') });
    const { inputs } = plan as { inputs: Record<string, { file: string }> };
    expect(Object.values(inputs).map(({ file }) => file)).toContain('../room 9.wav');
    expect(existsSync(join(folder, 'plans', 'second.json'))).toBe(true);
  });

  it('refuses a folder without WAV files, a folder that is none, and a file that is no WAV file, and writes nothing', () => {
    const empty = join(folder, 'plans');
    expect(() => planFolder(empty)).toThrow(new RangeError(`${empty} must hold WAV files, one for each microphone`));
    expect(() => planFolder(join(folder, 'nowhere'))).toThrow('nowhere');
    writeFileSync(join(empty, 'broken.wav'), 'not a sound');
    expect(() => planFolder(empty)).toThrow('broken.wav');
    expect(readdirSync(empty).sort()).toEqual(['broken.wav', 'second.json']);
  });

  it('a new file is whole or not there, and gives way to one that came first', () => {
    const path = join(folder, 'first.txt');
    writeNew(path, 'first');
    expect(() => {
      writeNew(path, 'second');
    }).toThrow(new RangeError(`${path} is there already`));
    expect(readFileSync(path, 'utf8')).toBe('first');
    expect(readdirSync(folder).filter((name) => name.endsWith('.part'))).toEqual([]);
  });
});
