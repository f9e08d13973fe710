/** The plans and chains of the guides: they parse, they fit the schema, and they do what the guides say. */
import { readFileSync } from 'node:fs';
import { resolve } from 'node:path';
import { Ajv2020 } from 'ajv/dist/2020.js';
import { describe, expect, it } from 'vitest';
import { mixPlanSchema } from '../../src/mix/plan-schema.ts';
import { strokes } from '../dynamics/dynamics-support.ts';
import { noise, rms, sine } from '../support/signals.ts';
import { mix, RATE, recording } from './mix-support.ts';

const guide = (name: string): string => readFileSync(resolve(import.meta.dirname, '../../docs', name), 'utf8');
const jsonOf = (text: string): unknown[] =>
  [...text.matchAll(/^```json\n([\s\S]*?)^```$/gm)].map(([, json]) => JSON.parse(json) as unknown);
const fits = new Ajv2020().compile(mixPlanSchema());

describe('docs/ducking.md', () => {
  const [plan] = jsonOf(guide('ducking.md')) as [{ readonly channels: object }];

  it('fits the schema, and ducks the rooms by its range while the kick sounds, in time, and lets them come back', () => {
    expect(fits(plan)).toBe(true);
    const hit = RATE / 2,
      length = RATE;
    const kick = new Float64Array(length);
    kick.set(sine(RATE / 10, 60, RATE, 0.7), hit); // for 100 ms
    const rooms = noise(length, 7, 0.1);
    // The kick is heard by the key alone: its fader is down, and the key is taken in front of it.
    const channels = { ...plan.channels, kick: { input: 'kick', gainDb: -120 } };
    const { left } = mix({ ...plan, channels }, { kick: recording(kick), rooms: recording(rooms) });
    const pan = Math.SQRT1_2; // one channel at the centre
    const levelDb = (from: number, ms: number) => {
      const part = (x: Float64Array) => rms(x.subarray(from, from + (ms * RATE) / 1000)); // the mix has no latency left
      return 20 * Math.log10(part(left) / part(rooms) / pan);
    };
    expect(Math.abs(levelDb(0, 400))).toBeLessThan(0.01);
    expect(levelDb(hit + 0.03 * RATE, 60)).toBeCloseTo(-9, 0); // at the range, rippled by a key of 60 Hz
    expect(levelDb(hit + 0.6 * (length - hit), 150)).toBeGreaterThan(-4); // 200 ms after the kick's end
    expect(levelDb(length - 0.02 * RATE, 20)).toBeGreaterThan(-1);
  });
});

describe('docs/ready-chains.md', () => {
  const text = guide('ready-chains.md');
  const chains = jsonOf(text) as Record<string, unknown>[][];
  const names = [...text.matchAll(/^## (.+)$/gm)].map(([, name]) => name).filter((name) => name !== 'Ranges');
  const ranges = new Map(
    [...text.matchAll(/^\| `(\w+)`\s*\| (-?[\d.]+)\s*\| (-?[\d.]+)\s*\|$/gm)].map(([, name, from, to]) => [
      name,
      [Number(from), Number(to)] as const,
    ]),
  );
  // Four strokes, peaks at -6 dBFS, with a rattle and the floor of a room.
  const floor = noise(RATE, 3, 0.003);
  const drum = strokes(
    RATE,
    RATE,
    [0.05, 0.3, 0.55, 0.8].map((seconds) => ({ seconds, peak: 0.5 })),
  ).map((v, i) => v * (1 + 30 * floor[i]) + floor[i]);

  it('has eight chains, and a range for every number in them', () => {
    expect(names).toHaveLength(8);
    expect(chains).toHaveLength(8);
    const visit = (value: unknown): [string, number][] =>
      typeof value !== 'object' || value === null
        ? []
        : Object.entries(value).flatMap(([name, inner]): [string, number][] =>
            typeof inner === 'number' ? [[name, inner]] : visit(inner),
          );
    const numbers = visit(chains);
    expect(numbers.length).toBeGreaterThan(100);
    const outside = numbers.filter(([name, value]) => {
      const range = ranges.get(name);
      return !range || value < range[0] || value > range[1];
    });
    expect(outside).toEqual([]);
  });

  it.each(names.map((name, i) => [name, i] as const))('%s runs: it changes a drum and stays in bounds', (_, i) => {
    const plan = { inputs: { a: { file: 'a.wav' } }, channels: { a: { input: 'a', chain: chains[i] } } };
    expect(fits({ version: 1, ...plan, output: { file: 'mix.wav' } })).toBe(true);
    const { left } = mix(plan, { a: recording(drum, drum) });
    const level = 20 * Math.log10(rms(left.subarray(0, drum.length)) / rms(drum));
    expect(left.every(Number.isFinite)).toBe(true);
    expect(Math.abs(level)).toBeGreaterThan(0.05);
    expect(Math.abs(level)).toBeLessThan(24);
  });
});
