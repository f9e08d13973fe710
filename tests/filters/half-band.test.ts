/** Half-band stages against the plain form: zeros between samples and a filter, a filter and every other sample. */
import { describe, expect, it } from 'vitest';
import { DownStage, halfBandPairs, LANES, UpStage } from '../../src/filters/half-band.ts';
import { HalfBandStages } from '../../src/filters/half-band-stages.ts';
import { halfBandTaps } from '../../src/filters/kaiser-design.ts';
import { firstDifference, largestDifference, noise } from '../support/signals.ts';

const [LENGTH, BETA] = [19, 8];
const TAPS = halfBandTaps({ length: LENGTH, beta: BETA });
const pairs = halfBandPairs(LENGTH, BETA);
const PIECE = 50;

/** Takes a signal through a stage in pieces of 50 samples of the lower rate. */
function inPieces(
  stage: UpStage | DownStage,
  x: Float64Array,
  samplesIn: number,
  samplesOut: number,
  pieces = x.length / (PIECE * samplesIn),
): Float64Array {
  const output: number[] = [];
  const room = new Float64Array((PIECE + LANES) * samplesOut);
  for (let p = 0; p < pieces; p++) {
    const piece = x.slice(p * PIECE * samplesIn, (p + 1) * PIECE * samplesIn);
    stage.process(piece, PIECE, room);
    output.push(...room.subarray(0, PIECE * samplesOut));
  }
  return Float64Array.from(output);
}

/** Convolution with all taps of the half-band, by its definition. */
const filtered = (x: Float64Array): Float64Array =>
  x.map((_, n) => TAPS.reduce((sum, tap, j) => sum + tap * (x[n - j] ?? 0), 0));

describe('half-band stages', () => {
  it('up: zeros between the samples, through twice the half-band', () => {
    const x = noise(200, 3);
    const stuffed = new Float64Array(400);
    x.forEach((v, i) => (stuffed[2 * i] = 2 * v));
    expect(largestDifference(inPieces(new UpStage(pairs, PIECE), x, 1, 2), filtered(stuffed))).toBeLessThan(1e-15);
  });

  it.each([0, 1, 2, 3])('down, %i samples of the high rate late: through the half-band, every other sample', (late) => {
    const y = noise(400, 4);
    const delayed = filtered(y.map((_, n) => y[n - late] ?? 0));
    const expected = Float64Array.from({ length: 200 }, (_, i) => delayed[2 * i]);
    expect(largestDifference(inPieces(new DownStage(pairs, PIECE, late), y, 2, 1), expected)).toBeLessThan(1e-15);
  });

  it.each([
    ['up', () => new UpStage(pairs, PIECE), 1, 2],
    ['down', () => new DownStage(pairs, PIECE, 1), 2, 1],
  ] as const)('%s: remember in their state all that they have heard', (_, make, samplesIn, samplesOut) => {
    const [one, other] = [make(), make()];
    const x = noise(400, 5);
    inPieces(one, x, samplesIn, samplesOut);
    one.state.forEach((array, a) => other.state[a].set(array));
    const [y, same] = [one, other].map((stage) => inPieces(stage, x, samplesIn, samplesOut, 1));
    expect(firstDifference(same, y)).toBe(-1);
  });

  it('one above the other: remember the same', () => {
    const [one, other] = [0, 0].map(() => new HalfBandStages([pairs, pairs], 1));
    const through = (stages: HalfBandStages) => {
      const x = noise(128, 6);
      stages.up(x, 128);
      stages.down(x, 128);
      return x;
    };
    through(one);
    one.state.forEach((array, a) => other.state[a].set(array));
    const again = through(one);
    expect(firstDifference(through(other), again)).toBe(-1);
    expect(firstDifference(through(new HalfBandStages([pairs, pairs], 1)), again)).toBeGreaterThanOrEqual(0);
  });
});
