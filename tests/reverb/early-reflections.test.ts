import { describe, expect, it } from 'vitest';
import { EarlyReflections } from '../../src/reverb/early-reflections.ts';
import { shoeboxReflections } from '../../src/reverb/shoebox.ts';
import { firstDifference, largestDifference, noise } from '../support/signals.ts';

const RATE = 8000;
const room = { lengthMetres: 5, widthMetres: 4, heightMetres: 2.7 };
const size = [5, 4, 2.7];

interface Way {
  readonly delay: number;
  readonly gain: number;
}

/**
 * All ways with one or two reflections: the source mirrored at every wall, the images at every wall again. Which walls come
 * first does not matter, so that an image may come about twice; it counts once.
 */
function waysByMirrors(source: readonly number[], microphone: readonly number[], kept: number): Way[] {
  const distance = (place: readonly number[]) => Math.hypot(...place.map((u, axis) => u - microphone[axis]));
  const mirrored = (place: readonly number[]) =>
    [0, 1, 2].flatMap((axis) => [0, size[axis]].map((wall) => place.with(axis, 2 * wall - place[axis])));
  const key = (place: readonly number[]) => place.map((u) => u.toFixed(6)).join();
  const once = mirrored(source);
  const twice = new Map(once.flatMap(mirrored).map((place) => [key(place), place]));
  twice.delete(key(source));
  const way = (place: readonly number[], walls: number): Way => ({
    delay: Math.round(((distance(place) - distance(source)) / 343.2) * RATE),
    gain: (distance(source) / distance(place)) * kept ** walls,
  });
  return [...once.map((place) => way(place, 1)), ...Array.from(twice.values(), (place) => way(place, 2))];
}

/** Where channel c of `channels` stands: sources in the front, microphones behind them. */
const place = (along: number, middle: number, spread: number, up: number) => (c: number, channels: number) =>
  [along, middle + spread * ((c + 0.5) / channels - 0.5), up].map((share, axis) => share * size[axis]);
const sourceOf = place(0.27, 0.46, 0.34, 0.38),
  microphoneOf = place(0.71, 0.53, 0.22, 0.57);

const channelsUpTo = (channels: number) => Array.from({ length: channels }, (_, c) => c);

describe('EarlyReflections', () => {
  it.each([
    [1, 0.3],
    [2, 0.75],
    [3, 0],
  ])(
    'of %d channels at an absorption of %f are the images of every source, scaled to energy 1',
    (channels, absorption) => {
      const all = channelsUpTo(channels);
      const ways = all.map((c) =>
        all.map((o) => waysByMirrors(sourceOf(c, channels), microphoneOf(o, channels), Math.sqrt(1 - absorption))),
      );
      const energy = ways.flat(2).reduce((sum, { gain }) => sum + gain * gain, 0) / channels;
      const x = all.map((c) => noise(700, c + 1));
      const expected = all.map((o) => {
        const y = new Float64Array(700);
        for (const c of all) {
          for (const { delay, gain } of ways[c][o]) {
            for (let n = delay; n < 700; n++) y[n] += (gain / Math.sqrt(energy)) * x[c][n - delay];
          }
        }
        return y;
      });

      const early = new EarlyReflections(room, channels, RATE);
      const k = Float64Array.from([9, 9, 9, ...early.design(absorption)]);
      expect(k).toHaveLength(3 + early.constants);
      const y = x.map(() => new Float64Array(700).fill(5));
      for (let at = 0; at < 700; at += 100) {
        const from = (rows: readonly Float64Array[]) => rows.map((row) => row.subarray(at));
        early.process(from(x), from(y), 37, k, 3);
        const later = (rows: readonly Float64Array[]) => rows.map((row) => row.subarray(at + 37));
        early.process(later(x), later(y), 63, k, 3);
      }
      expect(Math.max(...y.map((row, o) => largestDifference(row, expected[o])))).toBeLessThan(1e-12);
      expect(early.tailSamples).toBe(Math.max(...ways.flat(2).map(({ delay }) => delay)));
    },
  );

  it('go on from their state, and are new ones after reset()', () => {
    const [early, other] = [new EarlyReflections(room, 1, RATE), new EarlyReflections(room, 1, RATE)];
    const k = Float64Array.from(early.design(0.2));
    const heard = (e: EarlyReflections) => {
      const y = new Float64Array(128);
      e.process([noise(128, 5)], [y], 128, k, 0);
      return y;
    };
    const fresh = heard(early);
    early.state.forEach((array, i) => other.state[i].set(array));
    const next = heard(early);
    expect(firstDifference(next, heard(other))).toBe(-1);
    expect(firstDifference(next, fresh)).not.toBe(-1);
    early.reset();
    expect(firstDifference(heard(early), fresh)).toBe(-1);
  });
});

describe('shoeboxReflections', () => {
  it('are 6 ways with one reflection, 18 with two, 38 with three', () => {
    // Octahedral numbers: cells of a cubic lattice at 1, 2, 3 steps from its middle, 4 n^2 + 2.
    const ways = shoeboxReflections(room, [0.2, 0.3, 0.4], [0.6, 0.5, 0.7], 3);
    expect([1, 2, 3].map((walls) => ways.filter((way) => way.walls === walls).length)).toEqual([6, 18, 38]);
  });

  const [source, microphone] = [
    [0.2, 0.3, 0.4],
    [0.6, 0.5, 0.7],
  ];
  it.each<[unknown[], string]>([
    [[{ ...room, widthMetres: NaN }, source, microphone, 2], 'room.widthMetres must be 0.1 to 1000, got NaN'],
    [[{ ...room, heightMetres: 0 }, source, microphone, 2], 'room.heightMetres must be 0.1 to 1000, got 0'],
    [[{ ...room, lengthMetres: '6' }, source, microphone, 2], 'room.lengthMetres must be a number from 0.1 to 1000'],
    [[room, [0.2, NaN, 0.4], microphone, 2], 'source[1] must be 0 to 1, got NaN'],
    [[room, source, [0.2, 0.3, 1.1], 2], 'microphone[2] must be 0 to 1, got 1.1'],
    [[room, source, [0.2, 0.3], 2], 'microphone[2] must be a number from 0 to 1, got undefined'],
    [[room, source, source, 2], 'microphone must be elsewhere than the source, got [0.2,0.3,0.4]'],
    [[room, source, microphone, 1.5], 'order must be a whole number from 0 to 50, got 1.5'],
    [[room, source, microphone, NaN], 'order must be 0 to 50, got NaN'],
    [[room, source, microphone, 51], 'order must be 0 to 50, got 51'],
  ])('are refused with what cannot be: %j', (args, message) => {
    expect(() => shoeboxReflections(...(args as Parameters<typeof shoeboxReflections>))).toThrow(
      `shoeboxReflections: ${message}`,
    );
  });
});
