import { describe, expect, it } from 'vitest';
import { type Edge, solveDelays, solvePolarities } from '../../src/alignment/kit-graph.ts';

const edge = (a: number, b: number, delaySamples: number, weight = 1, polarity: 1 | -1 = 1): Edge => ({
  a,
  b,
  delaySamples,
  polarity,
  weight,
});

describe('delays', () => {
  it('follow a chain from what is held', () => {
    // 1 hears 5 later than 0, 2 hears 3 earlier than 1: they are moved by -5 and -2.
    expect(solveDelays([0, undefined, undefined], [edge(0, 1, 5), edge(2, 1, 3)])).toEqual([0, -5, -2]);
    expect(solveDelays([10, undefined], [edge(0, 1, 4)])).toEqual([6, 6].map((x, i) => (i === 0 ? 10 : x)));
  });

  it('share out what a triangle does not agree on: a third for each side, if all weigh alike', () => {
    // Sides 0-1: 1, 1-2: 1, 0-2: 5. The misclosure of 3 leaves each side 1 off.
    const [, one, two] = solveDelays([0, undefined, undefined], [edge(0, 1, 1), edge(1, 2, 1), edge(0, 2, 5)]);
    expect(one).toBeCloseTo(-2, 12);
    expect(two).toBeCloseTo(-4, 12);
  });

  it('weigh: two edges to one microphone give the weighted mean', () => {
    expect(solveDelays([0, 0, undefined], [edge(0, 2, 10, 3), edge(1, 2, 2, 1)])[2]).toBeCloseTo(-8, 12);
  });

  it('hold the first of what nothing holds, and leave alone what nothing is known of', () => {
    expect(solveDelays([undefined, undefined, undefined], [edge(0, 1, 7)])).toEqual([0, -7, 0]);
  });

  it('let two held microphones disagree', () => {
    expect(solveDelays([0, 0], [edge(0, 1, 7)])).toEqual([0, 0]);
  });
});

describe('polarities', () => {
  it('follow the strongest edges', () => {
    const edges = [edge(0, 1, 0, 1, -1), edge(1, 2, 0, 1, -1), edge(0, 2, 0, 0.4, -1)];
    expect(solvePolarities([1, undefined, undefined], edges)).toEqual([1, -1, 1]);
    expect(solvePolarities([-1, undefined, undefined], edges)).toEqual([-1, 1, -1]);
  });

  it('turn a microphone that several edges outvote', () => {
    // 0 and 1 are held; 2 hears 0 inverted with weight 0.6, but 1 and 3 upright with 0.5 each.
    const edges = [edge(0, 2, 0, 0.6, -1), edge(1, 2, 0, 0.5), edge(3, 2, 0, 0.5), edge(0, 3, 0, 0.9)];
    expect(solvePolarities([1, 1, undefined, undefined], edges)).toEqual([1, 1, 1, 1]);
  });

  it('keep what is held, whatever is measured', () => {
    expect(solvePolarities([1, 1], [edge(0, 1, 0, 1, -1)])).toEqual([1, 1]);
    expect(solvePolarities([], [])).toEqual([]);
  });
});
