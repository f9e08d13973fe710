/** The DC blocker: laws, its response, its glide. */
import { describe, expect, it } from 'vitest';
import { DcBlocker, dcBlockerParameters } from '../../src/filters/dc-blocker.ts';
import { obeysProcessorLaws, render64 } from '../support/processor-laws.ts';
import { constant, firstDifference, impulse, largestDifference, noise, peak, sine } from '../support/signals.ts';
import { peakAboveTenKilohertz } from './above-ten-kilohertz.ts';
import { responseOfImpulse } from './transfer.ts';

const two = { sampleRateHz: 48000, channels: 2 };

describe('DcBlocker', () => {
  obeysProcessorLaws(two, {
    create: (options) => new DcBlocker(two, options),
    table: dcBlockerParameters,
    lively: { cornerHz: 200 },
  });

  it.each([44100, 48000, 96000, 192000])('has the closed-form response at %i Hz', (sampleRateHz) => {
    const frequenciesHz = [1, 5, 20, 40, 1000, 20000];
    const blocker = new DcBlocker({ sampleRateHz, channels: 1 });
    const [response] = render64(blocker, [impulse(2 * blocker.tailSamples)]);
    // |H|^2 = 1 / (1 + (tan(w0/2) / tan(w/2))^2): the first-order prototype under the bilinear transform.
    const warp = (hz: number) => Math.tan((Math.PI * hz) / sampleRateHz);
    const expected = frequenciesHz.map((hz) => -10 * Math.log10(1 + (warp(5) / warp(hz)) ** 2));
    expect(largestDifference(responseOfImpulse(response, sampleRateHz, frequenciesHz), expected)).toBeLessThan(1e-6);
    expect(peak(response.subarray(blocker.tailSamples)) / peak(response)).toBeLessThan(1e-6);
  });

  it('loses 0.07 dB at 40 Hz and 3.01 dB at its corner', () => {
    const [response] = render64(new DcBlocker({ sampleRateHz: 48000, channels: 1 }), [impulse(100_000)]);
    const [corner, forty] = responseOfImpulse(response, 48000, [5, 40]);
    expect(corner).toBeCloseTo(-3.0103, 4);
    expect(forty).toBeCloseTo(-0.0673, 4); // 10 log10(1 + 1/64)
  });

  it('removes DC to the last bit', () => {
    const [output] = render64(new DcBlocker({ sampleRateHz: 48000, channels: 1 }), [constant(0.7, 48000 * 20)]);
    expect(output[0]).toBeCloseTo(0.7, 3);
    expect(peak(output.subarray(48000 * 18))).toBe(0);
  });

  it('keeps the channels apart', () => {
    const x = noise(1000);
    const [, other] = render64(new DcBlocker(two), [x, constant(0, 1000)]);
    expect(firstDifference(other, constant(0, 1000))).toBe(-1);
  });

  it('glides from corner to corner without a click', () => {
    const blocker = new DcBlocker({ sampleRateHz: 48000, channels: 1 }, { cornerHz: 5 });
    const input = sine(9000, 80, 48000).map((x) => x + 0.3);
    const output = new Float64Array(9000);
    blocker.process([input], [output], { end: 4000 });
    blocker.set({ cornerHz: 200 });
    blocker.process([input], [output], { start: 4000 });
    expect(peakAboveTenKilohertz(output.subarray(600), 48000)).toBeLessThan(-100);
    expect(peak(output.subarray(8000))).toBeLessThan(0.4); // 8 dB less of the tone: it has arrived
  });
});
