/** The examples for a terminal: each runs by the command of its README, from the built package, and tells the truth. */
import { createHash } from 'node:crypto';
import { execFileSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { writeWavFile } from '../../src/node/wav-files.ts';
import { decodeWav } from '../../src/wav/decode-wav.ts';
import { shortKit } from '../suggestion/short-kit.ts';
import { peak } from '../support/signals.ts';

const ROOT = resolve(import.meta.dirname, '../..');
const folder = mkdtempSync(join(tmpdir(), 'batterhead-examples-'));
const run = (script: string, ...args: string[]): string =>
  execFileSync(process.execPath, [join(ROOT, 'examples', script), ...args], { cwd: ROOT, encoding: 'utf8' });
const commandIn = (example: string): string =>
  /node (examples\/\S+)/.exec(readFileSync(join(ROOT, 'examples', example, 'README.md'), 'utf8'))?.[1] ?? '';

afterAll(() => {
  rmSync(folder, { recursive: true, force: true });
});

it.each([
  ['plugin-host', 'host.mjs'],
  ['parameter-sweep', 'sweep.mjs'],
  ['step-response', 'page.mjs'],
  ['engineer', 'first-mix.mjs'],
])('%s: the README names its program', (example, program) => {
  expect(commandIn(example)).toBe(`examples/${example}/${program}`);
});

it('plugin-host: block by block, set, saved and loaded, gives the samples of one call', () => {
  expect(run('plugin-host/host.mjs')).toMatch(/compensate 146 samples[^]*at once: 0 differ/);
});

describe('parameter-sweep', () => {
  run('parameter-sweep/sweep.mjs', folder);
  const read = (name: string): Buffer => readFileSync(join(folder, name));
  const rows = JSON.parse(read('results.json').toString()) as Record<string, number>[];

  it('writes the same table as CSV, JSON and NPY', () => {
    const [header, ...lines] = read('results.csv').toString().trim().split('\n');
    const csv = lines.map((line) => line.split(',').map(Number));
    expect(header).toBe(Object.keys(rows[0]).join(','));
    expect(csv).toEqual(rows.map((row) => Object.values(row)));
    // NumPy Enhancement Proposal 1: magic, version, length of the header, header, numbers in C order.
    const npy = read('results.npy');
    const length = npy.readUInt16LE(8);
    const text = npy.subarray(10, 10 + length).toString();
    expect(npy.subarray(0, 8)).toEqual(Buffer.from([0x93, 0x4e, 0x55, 0x4d, 0x50, 0x59, 1, 0]));
    expect((10 + length) % 64).toBe(0);
    expect(text).toContain(`'descr': '<f8', 'fortran_order': False, 'shape': (${rows.length}, 4)`);
    expect(text.endsWith('\n')).toBe(true);
    expect(rows.flatMap((_, r) => [0, 1, 2, 3].map((c) => npy.readDoubleLE(10 + length + 8 * (4 * r + c))))).toEqual(
      csv.flat(),
    );
  });

  it('finds more bleed taken away by every higher threshold, and hits that are left alone', () => {
    for (const seed of new Set(rows.map((row) => row['seed']))) {
      const own = rows.filter((row) => row['seed'] === seed);
      own.slice(1).forEach((row, i) => expect(row['bleedDownDb']).toBeGreaterThan(own[i]['bleedDownDb']));
    }
    expect(Math.max(...rows.map((row) => row['bleedDownDb']))).toBeGreaterThan(9);
    expect(Math.max(...rows.map((row) => row['lossDb']))).toBeLessThan(0.3);
  });

  it('lists in its manifest what it wrote', () => {
    const { files, seeds } = JSON.parse(read('manifest.json').toString()) as {
      files: Record<string, string>;
      seeds: number[];
    };
    expect(seeds).toHaveLength(3);
    expect(Object.keys(files)).toHaveLength(4);
    for (const [name, hash] of Object.entries(files)) {
      expect(createHash('sha256').update(read(name)).digest('hex')).toBe(hash);
    }
  });
});

it('engineer: stems without names become a plan and a mix below its ceiling', () => {
  const stems = join(folder, 'stems');
  const { microphones, sampleRateHz } = shortKit();
  Object.values(microphones).forEach((samples, i) => {
    writeWavFile(join(stems, `audio ${i + 1}.wav`), [samples], { sampleRateHz });
  });
  const told = run('engineer/first-mix.mjs', stems);
  for (const role of ['kickIn', 'snareBottom', 'floorTom', 'overheadLeft', 'roomRight']) expect(told).toContain(role);
  const { mixBus } = JSON.parse(readFileSync(join(stems, 'plan.json'), 'utf8')) as {
    mixBus: { chain: { ceilingDb: number }[] };
  };
  const ceilingDb = mixBus.chain.at(-1)?.ceilingDb ?? 0;
  const peaks = decodeWav(readFileSync(join(stems, 'mix.wav'))).channels.map((channel) => peak(channel));
  for (const most of peaks) {
    expect(most).toBeLessThanOrEqual(10 ** (ceilingDb / 20) + 2 / 2 ** 23); // two steps of dither
    expect(most).toBeGreaterThan(0.1);
  }
});

it('step-response: the page measures what the definitions promise', () => {
  const file = join(folder, 'page.html');
  run('step-response/page.mjs', file);
  const page = readFileSync(file, 'utf8');
  const [constant, rise, ninety] = [...page.matchAll(/<tr><th scope="row">.*?<\/tr>/g)].map(([row]) =>
    [...row.matchAll(/([\d.]+) ms/g)].map(([, ms]) => Number(ms)),
  );
  const sample = 1000 / 48000;
  expect(Math.abs(constant[1] - 10)).toBeLessThan(2 * sample);
  expect(Math.abs(rise[2] - rise[0] - 10)).toBeLessThan(2 * sample);
  expect(Math.abs(ninety[2] - 10)).toBeLessThan(2 * sample);
  expect(page.match(/<figure><svg/g)).toHaveLength(2);
  expect(page).not.toMatch(/NaN|undefined|https?:\/\/(?!www\.w3\.org)/);
});
