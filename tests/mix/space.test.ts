/** Sends without the kick, spaces from an impulse response, and what a space adds to the low end. */
import { describe, expect, it } from 'vitest';
import { ConvolutionReverb } from '../../src/reverb/convolution-reverb.ts';
import { parsePlan } from '../../src/mix/parse-plan.ts';
import { mixPlanSchema } from '../../src/mix/plan-schema.ts';
import { render64 } from '../support/processor-laws.ts';
import { firstDifference, largestDifference, noise, rms, sine } from '../support/signals.ts';
import { mix, RATE, recording } from './mix-support.ts';

const decibels = (ratio: number): number => 20 * Math.log10(ratio);
const kick = (send: object) => ({
  inputs: { kick: { file: 'kick.wav' } },
  channels: { kick: { input: 'kick', pan: -1, sends: [{ to: 'space', ...send }] } },
  buses: { space: { pan: 0 } },
});

describe('a send with a high-pass', () => {
  /** What the send alone adds for a tone: the mix with it less the mix without. */
  const sent = (frequencyHz: number, highpassHz: number): Float64Array => {
    const inputs = { kick: recording(sine(RATE, frequencyHz, RATE)) };
    const dry = mix({ ...kick({ gainDb: -120 }) }, inputs).left;
    return mix(kick({ highpassHz }), inputs).left.map((v, n) => v - dry[n]);
  };
  const steady = (x: Float64Array) => rms(x.subarray(RATE / 2));

  it.each([
    // 10 lg(1 / (1 + (fc / f)^8)) of the fourth-order Butterworth, far below half the rate.
    [75, -24.1],
    [150, -3.01],
    [300, -0.017],
    [1200, 0],
  ])('passes %d Hz at %f dB with its corner at 150 Hz', (hz, db) => {
    expect(decibels(steady(sent(hz, 150)) / steady(sent(hz, 0)))).toBeCloseTo(db, 1);
  });

  it('leaves every other path of the strip alone, bit for bit, and delays nothing', () => {
    const inputs = { kick: recording(noise(4000)) };
    const silentSpace = (send: object) => ({
      ...kick(send),
      buses: { space: { gainDb: -120, chain: [{ type: 'gain', gainDb: -120 }] } },
    });
    const [with_, without] = [{ highpassHz: 200 }, {}].map((send) =>
      mix(silentSpace({ gainDb: -120, ...send }), inputs),
    );
    expect(largestDifference(with_.left, without.left)).toBeLessThan(1e-12); // what -360 dB leave
    expect(with_.report.latencySamples).toBe(0);
  });

  it('is off at 0 and begins at 10 Hz', () => {
    const inputs = { kick: recording(noise(2000)) };
    expect(firstDifference(mix(kick({ highpassHz: 0 }), inputs).left, mix(kick({}), inputs).left)).toBe(-1);
    expect(() => mix(kick({ highpassHz: 5 }), inputs)).toThrow(
      'channels.kick.sends[0].highpassHz must be 0, which passes everything, or at least 10, got 5',
    );
    expect(() => mix(kick({ highpassHz: 2001 }), inputs)).toThrow(RangeError);
  });
});

describe('a convolution reverb in a plan', () => {
  const response = [noise(900, 5), noise(900, 6)];
  const plan = (block: object) => ({
    inputs: { snare: { file: 'snare.wav' }, hall: { file: 'hall.wav' } },
    channels: { snare: { input: 'snare', pan: -1, output: 'space' } },
    buses: { space: { chain: [{ type: 'convolutionReverb', ...block }] } },
  });
  const inputs = { snare: recording(noise(3000, 1)), hall: recording(...response) };

  it('takes its response from an input of the plan', () => {
    const { left, report } = mix(plan({ impulse: 'hall' }), inputs);
    const format = { sampleRateHz: RATE, channels: 2 };
    const processor = new ConvolutionReverb(format, {}, { channels: response, sampleRateHz: RATE });
    const length = 3000 + processor.tailSamples;
    const x = new Float64Array(length);
    x.set(noise(3000, 1));
    const [expected] = render64(processor, [x, new Float64Array(length)]);
    expect(report.frames).toBe(length);
    expect(firstDifference(left, expected)).toBe(-1);
  });

  it('takes one channel of it, or four for true stereo, at a rate of its own', () => {
    const four = { ...inputs, hall: { ...recording(...response, ...response), sampleRateHz: 96000 } };
    const { report } = mix(plan({ impulse: 'hall' }), four);
    expect(report.tailSamples).toBe(449);
    const one = {
      ...plan({ impulse: 'hall' }),
      inputs: { snare: { file: 'a.wav' }, hall: { file: 'b.wav', channel: 1 } },
    };
    expect(mix(one, inputs).report.tailSamples).toBe(899);
  });

  it('refuses a response that is not named, not there or does not fit', () => {
    expect(() => mix(plan({}), inputs)).toThrow('buses.space.chain[0].impulse must be a text, got nothing');
    expect(() => mix(plan({ impulse: 'hull' }), inputs)).toThrow('the nearest name is hall');
    const three = { ...inputs, hall: recording(...response, noise(900, 7)) };
    expect(() => mix(plan({ impulse: 'hall' }), three)).toThrow('channels of the impulse response must be 1 or 2 or 4');
    const empty = { ...inputs, hall: recording(new Float64Array(0)) };
    expect(() => mix(plan({ impulse: 'hall' }), empty)).toThrow('inputs.hall: frames of the file must be 1 to');
    const gate = { ...plan({}), buses: { space: { chain: [{ type: 'gate', impulse: 'hall' }] } } };
    expect(() => mix(gate, inputs)).toThrow('buses.space.chain[0].impulse is unknown');
  });

  it('is in the schema, with its response required', () => {
    const { block } = mixPlanSchema().$defs as {
      block: { oneOf: { properties: { type: { const: string } }; required: string[] }[] };
    };
    const schema = block.oneOf.find(({ properties }) => properties.type.const === 'convolutionReverb');
    expect(schema?.required).toEqual(['type', 'impulse']);
  });

  it('is gone, with its sound, from an input that no block names', () => {
    expect(
      Object.keys(parsePlan({ version: 1, output: { file: 'a.wav' }, ...plan({ impulse: 'hall' }) }).inputs),
    ).toContain('hall');
  });
});

describe('the report', () => {
  const plan = (chain: object[], gainDb = 0) => ({
    inputs: { a: { file: 'a.wav' } },
    channels: { a: { input: 'a', sends: [{ to: 'space', gainDb: -20 }] } },
    buses: { space: { gainDb, chain } },
  });
  const dry = { type: 'schroederReverb', mixPercent: 0 }; // passes its input: the share is known

  it('tells how much a bus with a reverb adds below 150 Hz, relative to the dry kit', () => {
    const low = recording(sine(RATE, 60, RATE));
    expect(mix(plan([dry]), { a: low }).report.lowEnd).toEqual({
      belowHz: 150,
      relativeDb: { 'buses.space': expect.closeTo(-20, 6) as number },
    });
    expect(mix(plan([dry], -6), { a: low }).report.lowEnd.relativeDb['buses.space']).toBeCloseTo(-26, 6);
    // A reverb with its high-pass at 1 kHz adds next to nothing there; a high tone has no low end.
    const cut = { type: 'feedbackReverb', highpassHz: 1000 };
    expect(mix(plan([cut]), { a: low }).report.lowEnd.relativeDb['buses.space']).toBeLessThan(-50);
    expect(mix(plan([]), { a: low }).report.lowEnd.relativeDb).toEqual({});
  });

  it('does not depend on the size of chunks, and the mix does not on its being measured', () => {
    const a = recording(noise(5000, 3));
    const whole = mix(plan([dry]), { a });
    const small = mix(plan([dry]), { a }, { chunkFrames: 77 });
    expect(small.report.lowEnd.relativeDb['buses.space']).toBeCloseTo(
      whole.report.lowEnd.relativeDb['buses.space'] ?? 0,
      9,
    );
    const unmeasured = mix(plan([{ type: 'gain' }]), { a });
    expect(largestDifference(unmeasured.left, whole.left.subarray(0, 5000))).toBeLessThan(1e-15);
  });
});
