import { describe, expect, it } from 'vitest';
import { ConvolutionStage } from '../../src/reverb/convolution-stage.ts';
import { DirectHead } from '../../src/reverb/direct-head.ts';
import { firstDifference, largestDifference, noise } from '../support/signals.ts';

type Run = (x: Float64Array) => Float64Array;

/** Runs `x` through in blocks of 128. */
function blockwise(x: Float64Array, work: (x: Float64Array, y: Float64Array) => void): Float64Array {
  const y = new Float64Array(x.length);
  for (let at = 0; at < x.length; at += 128) work(x.subarray(at, at + 128), y.subarray(at, at + 128));
  return y;
}

function convolved(x: Float64Array, h: Float64Array, late: number): Float64Array {
  return x.map((_, n) => h.reduce((sum, v, k) => sum + (n - late < k ? 0 : v * x[n - late - k]), 0));
}

const response = noise(300, 1),
  head = noise(128, 2);

it('a stage works where a block of 128 ends, however the pieces lie in it', () => {
  const long = noise(1500, 5),
    x = noise(1920, 6);
  const played = [[128], [100, 28], [1, 126, 1]].map((cuts) => {
    const stage = new ConvolutionStage(256, 1, 1, [{ from: 0, to: 0, response: long }]);
    const y = new Float64Array(x.length);
    for (let at = 0, i = 0; at < x.length; at += cuts[i % cuts.length], i++) {
      const count = cuts[i % cuts.length];
      stage.process([x.subarray(at, at + count)], [y.subarray(at, at + count)], count);
    }
    return y;
  });
  expect(largestDifference(played[0], convolved(x, long, 256))).toBeLessThan(1e-11);
  for (const cut of played.slice(1)) expect(firstDifference(cut, played[0])).toBe(-1);
});

describe.each([
  {
    name: 'ConvolutionStage',
    expected: (x: Float64Array) => convolved(x, response, 128),
    create: () => {
      const stage = new ConvolutionStage(128, 1, 1, [{ from: 0, to: 0, response }]);
      const run: Run = (x) => blockwise(x, (piece, y) => stage.process([piece], [y], piece.length));
      return { part: stage, run };
    },
  },
  {
    name: 'DirectHead',
    expected: (x: Float64Array) => convolved(x, head, 0),
    create: () => {
      const direct = new DirectHead(128);
      const run: Run = (x) =>
        blockwise(x, (piece, y) => {
          direct.take(piece, piece.length);
          direct.addTo(y, piece.length, head);
          direct.moveOn(piece.length);
        });
      return { part: direct, run };
    },
  },
])('$name', ({ create, expected }) => {
  const before = noise(640, 3),
    after = noise(640, 4);

  it('equals direct convolution', () => {
    const y = create().run(before);
    expect(largestDifference(y, expected(before))).toBeLessThan(1e-11);
  });

  it('remembers nothing after a reset', () => {
    const { part, run } = create();
    run(before);
    part.reset();
    expect(firstDifference(run(after), create().run(after))).toBe(-1);
  });

  it('names all that it remembers: another with the same numbers goes on with the same bits', () => {
    const first = create(),
      second = create();
    first.run(before);
    expect(second.part.state.length).toBeGreaterThan(0);
    first.part.state.forEach((array, a) => second.part.state[a].set(array));
    expect(firstDifference(second.run(after), first.run(after))).toBe(-1);
  });
});
