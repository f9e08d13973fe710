/** The running cascade: laws, response, fades, refusals. */
import { describe, expect, it } from 'vitest';
import { BiquadCascade } from '../../src/filters/biquad-cascade.ts';
import { lowpass, peaking } from '../../src/filters/biquad-design.ts';
import { butterworthHighpass, butterworthLowpass } from '../../src/filters/butterworth.ts';
import { frequencyResponse } from '../../src/filters/response.ts';
import { obeysProcessorLaws, render64 } from '../support/processor-laws.ts';
import { impulse, largestDifference } from '../support/signals.ts';
import { responseOfImpulse } from './transfer.ts';

const RATES = [44100, 48000, 96000, 192000];
const three = { sampleRateHz: 48000, channels: 3 }; // a pair and one over
const bell = (frequencyHz: number, gainDb = 6, sampleRateHz = 48000) =>
  peaking({ sampleRateHz, frequencyHz, q: 2, gainDb });

describe('BiquadCascade', () => {
  obeysProcessorLaws(three, {
    create: () =>
      new BiquadCascade(three, [bell(200), bell(3000, -9), ...butterworthLowpass({ ...at(9000), order: 3 })]),
    table: {},
    lively: {},
  });

  it.each(RATES)('answers an impulse at %i Hz with the response that frequencyResponse states', (sampleRateHz) => {
    const frequenciesHz = [0, 20, 31.5, 100, 440, 1000, 4999, 10000, 20000];
    const sections = [
      ...butterworthHighpass({ sampleRateHz, frequencyHz: 40, order: 5 }),
      bell(1000, 12, sampleRateHz),
      lowpass({ sampleRateHz, frequencyHz: 15000, q: 0.9 }),
    ];
    const cascade = new BiquadCascade({ sampleRateHz, channels: 1 }, sections);
    const [output] = render64(cascade, [impulse(2 * cascade.tailSamples)]);
    const stated = frequencyResponse(sections, { sampleRateHz, frequenciesHz: frequenciesHz.slice(1) });
    const measured = responseOfImpulse(output, sampleRateHz, frequenciesHz);
    expect(measured[0]).toBeLessThan(-180); // a high-pass at DC
    expect(largestDifference(measured.slice(1), stated.magnitudeDb)).toBeLessThan(1e-6);
  });
});

function at(frequencyHz: number, sampleRateHz = 48000) {
  return { sampleRateHz, frequencyHz };
}
