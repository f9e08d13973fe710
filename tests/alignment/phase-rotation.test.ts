import { describe, expect, it } from 'vitest';
import { searchPhaseRotation } from '../../src/alignment/phase-rotation.ts';
import { BiquadCascade } from '../../src/filters/biquad-cascade.ts';
import { allpass } from '../../src/filters/biquad-design.ts';
import { render64 } from '../support/processor-laws.ts';
import { noise } from '../support/signals.ts';

const sampleRateHz = 48_000;
const format = { sampleRateHz, channels: 1 };
const x = noise(48_000, 1);
/** The stretches cut into the ringing of the all-pass. */
const WINDOWED_DB = 0.01;
const turned = (frequencyHz: number, q: number, gain = 1): Float64Array =>
  render64(new BiquadCascade(format, [allpass({ sampleRateHz, frequencyHz, q })]), [x])[0].map((v) => gain * v);

/** Level of the sum between 50 and 300 Hz, by a transform of everything. */
function lowLevelDb(sum: Float64Array): number {
  let power = 0;
  for (let hz = 50; hz <= 300; hz += 5) {
    let re = 0,
      im = 0;
    for (let n = 0; n < sum.length; n++) {
      re += sum[n] * Math.cos((2 * Math.PI * hz * n) / sampleRateHz);
      im += sum[n] * Math.sin((2 * Math.PI * hz * n) / sampleRateHz);
    }
    power += re * re + im * im;
  }
  return 10 * Math.log10(power);
}

describe('searchPhaseRotation', () => {
  it('finds the all-pass that one microphone has gone through, for the other one', () => {
    const found = searchPhaseRotation(x, turned(120, 0.8), { sampleRateHz });
    expect(found.microphone).toBe('reference');
    expect(found.polarity).toBe(1);
    expect(Math.abs(found.frequencyHz / 120 - 1)).toBeLessThan(0.01);
    expect(Math.abs(found.q / 0.8 - 1)).toBeLessThan(0.02);
    expect(found.lossDb).toBeLessThan(WINDOWED_DB);
  });

  it('finds it on the other side, with another level and inverted polarity', () => {
    const found = searchPhaseRotation(turned(200, 1.5, -0.4), x, { sampleRateHz });
    expect(found.microphone).toBe('other');
    expect(found.polarity).toBe(-1);
    expect(Math.abs(found.frequencyHz / 200 - 1)).toBeLessThan(0.01);
    expect(found.lossDb).toBeLessThan(WINDOWED_DB);
  });

  it('brings the gain that it promises', () => {
    const short = x.subarray(0, 24_000);
    // Late and with an inverted reflection: no all-pass undoes that whole.
    const other = Float64Array.from(short, (_, n) => (short[n - 120] ?? 0) - 0.6 * (short[n - 400] ?? 0));
    const { microphone, frequencyHz, q, polarity, gainDb } = searchPhaseRotation(short, other, { sampleRateHz });
    const section = new BiquadCascade(format, [allpass({ sampleRateHz, frequencyHz, q })]);
    const rotate = (y: Float64Array) => render64(section, [y])[0].map((v) => polarity * v);
    const [a, b] = microphone === 'other' ? [short, rotate(other)] : [rotate(short), other];
    const sum = (p: Float64Array, r: Float64Array) => p.map((v, n) => v + r[n]);
    expect(gainDb).toBeGreaterThan(0.5);
    expect(lowLevelDb(sum(a, b)) - lowLevelDb(sum(short, other))).toBeGreaterThan(gainDb - 1); // the ends weigh more here, and the lines are 5 Hz apart
  });

  it('has nothing to gain between copies', () => {
    const { gainDb, lossDb } = searchPhaseRotation(x, x, { sampleRateHz });
    expect(Math.abs(gainDb)).toBeLessThan(0.1);
    expect(lossDb).toBeLessThan(0.1);
  });

  it('survives silence', () => {
    const { gainDb, lossDb } = searchPhaseRotation(new Float64Array(100), new Float64Array(100), { sampleRateHz });
    expect([gainDb, lossDb]).toEqual([0, 0]);
  });

  it('refuses a band upside down', () => {
    expect(() => searchPhaseRotation(x, x, { sampleRateHz, fromHz: 300, toHz: 100 })).toThrow(RangeError);
  });

  it('refuses hits outside the longer microphone', () => {
    const search = (hits: number[]) => () =>
      searchPhaseRotation(x.subarray(0, 10), x.subarray(0, 20), { sampleRateHz, hits });
    expect(search([0, NaN])).toThrow('searchPhaseRotation: hits[1] must be 0 to 20, got NaN');
    expect(search([21])).toThrow('searchPhaseRotation: hits[0] must be 0 to 20, got 21');
    expect(search([0, 20])).not.toThrow();
  });
});
