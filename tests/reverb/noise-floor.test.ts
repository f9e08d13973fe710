import { describe, expect, it } from 'vitest';
import { findNoiseFloor } from '../../src/reverb/noise-floor.ts';

const RATE = 8000;
/** A response whose square is known without scatter. */
const response = (seconds: number, power: (t: number) => number, rate = RATE): Float64Array =>
  Float64Array.from({ length: Math.floor(seconds * rate) }, (_, n) => Math.sqrt(power(n / rate)));
/** Power at t of a decay of 60 dB in `seconds`. */
const decay = (t: number, seconds: number): number => 10 ** ((-6 * t) / seconds);
/** Expects the crossing within a decibel of decay behind its place: noise lifts the lower end of what is fitted. */
function expectCrossing(found: number, place: number, decaySeconds: number): void {
  expect(found).toBeGreaterThan(place);
  expect(found).toBeLessThan(place + decaySeconds / 60);
}

describe('findNoiseFloor', () => {
  it.each([
    [0.5, 1e-5, 2],
    [0.5, 1e-5, 0.8],
    [0.2, 1e-4, 1],
    [1, 1e-4, 2],
  ])('of a decay of %f s to a power of %f in %f s finds the three', (seconds, power, length) => {
    const f = findNoiseFloor(
      response(length, (t) => decay(t, seconds) + power),
      RATE,
    );
    expectCrossing(f.crossingSeconds, (-seconds * Math.log10(power)) / 6, seconds);
    expect(Math.abs(f.decaySeconds / seconds - 1)).toBeLessThan(0.04);
    // The mean from 7.5 dB of decay behind the crossing on: the noise, and the integral of the decay that is left there.
    const quiet = f.crossingSeconds + (7.5 * f.decaySeconds) / 60;
    const left = (decay(quiet, seconds) * seconds) / (6 * Math.LN10);
    expect(f.noisePower / (power + left / (length - quiet))).toBeCloseTo(1, 3);
  });

  it('measures the noise over the last tenth at least, however late the crossing', () => {
    const h = response(0.4, (t) => decay(t, 0.5) + 1e-5);
    const { noisePower, crossingSeconds } = findNoiseFloor(h, RATE);
    const last = h.subarray(0.9 * h.length);
    expect(noisePower).toBeCloseTo(last.reduce((sum, x) => sum + x * x, 0) / last.length, 15);
    expect(crossingSeconds).toBeGreaterThan(0.36);
    expect(crossingSeconds).toBeLessThanOrEqual(0.4);
  });

  it('follows the late decay, which the rounds find behind a steeper one', () => {
    // The late decay begins 20 dB down and meets the noise after 40 dB more.
    const h = response(2, (t) => decay(t, 0.1) + 0.01 * decay(t, 0.8) + 1e-6);
    const { decaySeconds, crossingSeconds } = findNoiseFloor(h, RATE);
    expect(Math.abs(decaySeconds / 0.8 - 1)).toBeLessThan(0.04);
    expectCrossing(crossingSeconds, (0.8 * 40) / 60, 0.8);
  });

  it.each([0.1, 2])('leaves digital silence of %f s at the end out', (seconds) => {
    const h = response(0.8, (t) => decay(t, 0.5) + 1e-5);
    const padded = new Float64Array(h.length + seconds * RATE);
    padded.set(h);
    expect(findNoiseFloor(padded, RATE)).toEqual(findNoiseFloor(h, RATE));
  });

  it('bears digital silence between the direct sound and the decay', () => {
    const h = response(2, (t) => decay(t, 0.5) + 1e-5);
    h.fill(0, 1, 0.08 * RATE);
    const { decaySeconds, crossingSeconds } = findNoiseFloor(h, RATE);
    expect(Math.abs(decaySeconds / 0.5 - 1)).toBeLessThan(0.04);
    expectCrossing(crossingSeconds, (0.5 * 50) / 60, 0.5);
  });

  it('comes to an end where its estimates swing to and fro', () => {
    const rate = 5837;
    const h = response(1.32, (t) => decay(t, 0.879) + 0.00458 * decay(t, 1.45) + 2.74e-5, rate);
    const { decaySeconds, crossingSeconds } = findNoiseFloor(h, rate);
    expect([decaySeconds > 0.85, decaySeconds < 1.45]).toEqual([true, true]);
    expect([crossingSeconds > 0.6, crossingSeconds < 0.9]).toEqual([true, true]);
  });

  it('refuses what does not decay, and what is too short to tell', () => {
    const message = 'findNoiseFloor: impulseResponse must decay before its noise, got no decay';
    for (const h of [
      new Float64Array(4000).fill(1),
      response(1, (t) => decay(-t, 1)),
      new Float64Array(3),
      new Float64Array(0),
    ]) {
      expect(() => findNoiseFloor(h, RATE)).toThrow(new RangeError(message));
    }
  });
});
