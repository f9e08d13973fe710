import { describe, expect, it } from 'vitest';
import { type Room, waysBetween } from '../../src/simulation/room.ts';
import type { Vector } from '../../src/simulation/vectors.ts';

const source: Vector = [1.2, 2.1, 0.7];
const microphone: Vector = [3.4, 4.6, 1.6];
const room: Room = {
  sizeMetres: [5, 7, 3],
  floorReflection: 0.7,
  ceilingReflection: 0.5,
  wallReflection: 0.6,
  reflectionOrder: 3,
};
const ways = waysBetween(source, microphone, room);
const length = (v: Vector) => Math.hypot(...v);

describe('ways of the sound', () => {
  it('are 1, 6, 18 and 38 with 0 to 3 reflections (numbers of integer points with |x| + |y| + |z| = n)', () => {
    const counts = [0, 1, 2, 3].map(
      (reflectionOrder) => waysBetween(source, microphone, { ...room, reflectionOrder }).length,
    );
    expect(counts).toEqual([1, 7, 25, 63]);
  });

  it('start with the direct one', () => {
    expect(ways[0].distanceMetres).toBeCloseTo(Math.hypot(2.2, 2.5, 0.9), 12);
    expect(ways[0].reflection).toBe(1);
  });

  it('with one reflection have the lengths of the six mirrored sources, and their surfaces', () => {
    const mirrored: [Vector, number][] = [
      [[-1.2, 2.1, 0.7], 0.6],
      [[8.8, 2.1, 0.7], 0.6],
      [[1.2, -2.1, 0.7], 0.6],
      [[1.2, 11.9, 0.7], 0.6],
      [[1.2, 2.1, -0.7], 0.7],
      [[1.2, 2.1, 5.3], 0.5],
    ];
    const first = waysBetween(source, microphone, { ...room, reflectionOrder: 1 }).slice(1);
    for (const [image, reflection] of mirrored) {
      const distance = Math.hypot(image[0] - 3.4, image[1] - 4.6, image[2] - 1.6);
      const found = first.filter((way) => Math.abs(way.distanceMetres - distance) < 1e-12);
      expect(found.map((way) => way.reflection)).toEqual([reflection]);
      expect(length([image[0] - 3.4, image[1] - 4.6, image[2] - 1.6])).toBeCloseTo(length(found[0].origin), 12);
      expect(found[0].origin).toEqual(
        [image[0] - 3.4, image[1] - 4.6, image[2] - 1.6].map((x) => expect.closeTo(x, 12)),
      );
    }
  });

  it('leave the drum and reach the microphone by equally long lines', () => {
    const worst = ways.map((way) => Math.abs(length(way.departure) - length(way.origin)));
    expect(Math.max(...worst)).toBeLessThan(1e-12);
  });

  it('are the same backwards (reciprocity), departure and origin swapped', () => {
    const signature = (all: typeof ways, swap: boolean) =>
      all
        .map((way) => [way.distanceMetres, ...(swap ? way.origin : way.departure), way.reflection])
        .map((row) => row.map((x) => (Math.round(x * 1e9) / 1e9 + 0).toFixed(9)).join(' '))
        .sort();
    expect(signature(waysBetween(microphone, source, room), true)).toEqual(signature(ways, false));
  });

  it('meet floor and ceiling in turn: three vertical reflections keep 0.7 0.5 0.7 or 0.5 0.7 0.5', () => {
    const vertical = ways.filter(
      (way) =>
        Math.abs(way.departure[0] - 2.2) < 1e-12 && Math.abs(way.departure[1] - 2.5) < 1e-12 && way.reflection < 0.25,
    );
    expect(vertical.map((way) => way.reflection).sort()).toEqual([
      expect.closeTo(0.175, 12),
      expect.closeTo(0.245, 12),
    ]);
    // floor first and last: the longer way of the two ends at -(2 L + z) - ..., seen from below
    const floorTwice = vertical.find((way) => way.reflection > 0.2);
    expect(Math.sign(floorTwice?.departure[2] ?? 0)).toBe(-1);
    expect(Math.sign(floorTwice?.origin[2] ?? 0)).toBe(-1);
  });
});
