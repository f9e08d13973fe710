import { beforeAll, describe, expect, it } from 'vitest';
import { type DelayEstimate, estimateDelay, type EstimateDelayOptions } from '../../src/alignment/delay-estimate.ts';
import { lowpassTaps, windowedSinc } from '../../src/filters/kaiser-design.ts';
import { drumNames } from '../../src/simulation/names.ts';
import { type SimulatedKit, simulateKit } from '../../src/simulation/simulate-kit.ts';
import vectors from '../vectors/alignment.json';
import { noise, sine } from '../support/signals.ts';

const RATE = 48000;
const estimate = (a: Float64Array, b: Float64Array, options: Partial<EstimateDelayOptions> = {}): DelayEstimate =>
  estimateDelay(a, b, { sampleRateHz: RATE, ...options });

/** `x` later by any number of samples: a windowed sinc of the tests' choice, 64 samples to each side. */
function delayed(x: Float64Array, samples: number, gain = 1): Float64Array {
  const kernel = windowedSinc({ cutoffCyclesPerSample: 0.5, halfWidthSamples: 64, beta: 10 });
  const whole = Math.floor(samples);
  const taps = Float64Array.from({ length: 128 }, (_, i) => gain * kernel(i - 63 - (samples - whole)));
  return filtered(x, taps, whole - 63);
}

/** Convolution with `taps`, of which the first acts `offset` samples later. */
function filtered(x: Float64Array, taps: Float64Array, offset: number): Float64Array {
  const y = new Float64Array(x.length);
  x.forEach((value, n) => {
    if (value !== 0) taps.forEach((tap, i) => (y[n + offset + i] += tap * value)); // outside, nothing is written
  });
  return y;
}

/** Bursts that begin at `starts` and die away within a few milliseconds, with little above 0.4 of the sample rate. */
function bursts(length: number, starts: readonly number[], seed: number): Float64Array {
  const x = new Float64Array(length);
  starts.forEach((start, i) => {
    noise(600, seed + i).forEach((value, n) => (x[start + n] += value * Math.exp(-n / 100)));
  });
  return filtered(x, lowpassTaps({ length: 65, cutoffCyclesPerSample: 0.37, beta: 6 }), -32);
}

const STARTS = Array.from({ length: 12 }, (_, i) => 3000 + 4000 * i);

describe('a delayed copy', () => {
  // The published bias of a parabola through three values of a full-band peak: up to 0.12 sample.
  it.each(vectors.parabolic_bias_full_band_sinc.map(([fraction, parabola]) => ({ fraction, parabola })))(
    'by $fraction sample is found within 0.002, where a parabola says $parabola',
    ({ fraction, parabola }) => {
      const x = bursts(52000, STARTS, 1);
      for (const weighting of ['plain', 'phaseTransform', 'coherence'] as const) {
        const { delaySamples } = estimate(x, delayed(x, 20 + fraction), { weighting });
        // The phase transform counts what aliases near half the sample rate like all else.
        expect(Math.abs(delaySamples - 20 - fraction)).toBeLessThan(weighting === 'phaseTransform' ? 0.02 : 0.002);
      }
      if (fraction < 0.5) expect(Math.abs(parabola - fraction)).toBeGreaterThan(0.04);
    },
  );

  it('earlier, inverted and softer is found, too', () => {
    const x = bursts(52000, STARTS, 2);
    const result = estimate(x, delayed(x, -31.25, -0.3));
    expect(result.delaySamples).toBeCloseTo(-31.25, 3);
    expect(result).toMatchObject({ polarity: -1, confidence: 1, reasons: [] });
  });

  // White noise, 37 samples, gain -0.6, with noise that leaves a normalised correlation of -0.979:
  // r = g / sqrt(g^2 + n^2) for independent noise of standard deviation n relative to the signal.
  it('of white noise with a little other noise has the correlation that theory gives', () => {
    const x = noise(24000, 3);
    const level = 0.6 * Math.sqrt(1 / 0.979 ** 2 - 1);
    const other = noise(24000, 4);
    const y = x.map((_, n) => -0.6 * (x[n - 37] ?? 0) + level * other[n]);
    const { delaySamples, polarity, correlation } = estimate(x, y, { weighting: 'plain' });
    expect(delaySamples).toBeCloseTo(37, 2);
    expect(polarity).toBe(-1);
    const { startSamples, stepSamples, values } = correlation;
    const peak = values[(37 - startSamples) / stepSamples];
    expect(peak).toBeCloseTo(-0.979, 2);
    expect(Math.max(...values.map(Math.abs))).toBe(-peak);
    const phase = estimate(x, y, { weighting: 'phaseTransform' });
    expect(phase.delaySamples).toBeCloseTo(37, 2);
    expect(phase.polarity).toBe(-1);
  });

  it('that is no copy but the same is exactly 0, whatever it is', () => {
    for (const x of [bursts(52000, STARTS, 5), noise(20000, 6), sine(20000, 997, RATE), Float64Array.of(1, 2, 3, 4)]) {
      const result = estimate(x, x.slice());
      expect(result).toMatchObject({ delaySamples: 0, polarity: 1, confidence: 1, reasons: [] });
    }
  });

  it('is searched for in the range given: 1 m is 139.854 samples at 20 degrees', () => {
    const x = bursts(52000, STARTS, 7);
    const { samples_48k: samples } = vectors.distance.find(({ d_m }) => d_m === 1) as { samples_48k: number };
    const y = delayed(x, samples);
    expect(estimate(x, y, { maxDistanceMetres: 1 }).delaySamples).toBeCloseTo(samples, 2);
    expect(estimate(x, y, { maxDistanceMetres: 0.95 }).confidence).toBeLessThan(0.5);
    expect(estimate(x, y, { maxDelayMs: 2.92 }).correlation.startSamples).toBe(-141);
    // Warm air is faster, so the same way is fewer samples: the table has the speeds.
    const { c_331p3: warm } = vectors.speed.find(({ T }) => T === 40) as { c_331p3: number };
    const range = estimate(x, y, { maxDistanceMetres: 2, temperatureC: 40 }).correlation.startSamples;
    expect(range).toBe(-Math.ceil((2 / warm) * RATE));
  });
});

describe('hits', () => {
  it('that disagree are named and left out', () => {
    const x = bursts(52000, STARTS, 8);
    const y = delayed(x, 50);
    y.copyWithin(STARTS[3] + 30, STARTS[3], STARTS[3] + 2000); // one hit comes 30 samples late
    const { delaySamples, hits } = estimate(x, y, { hitSamples: STARTS });
    expect(delaySamples).toBeCloseTo(50, 2);
    expect(hits.map((hit) => hit.sample)).toEqual(STARTS);
    expect(hits.map((hit) => hit.outlier)).toEqual(STARTS.map((_, i) => i === 3));
    expect(hits.reduce((sum, hit) => sum + hit.weight, 0)).toBeCloseTo(1, 12);
    expect(hits[3].weight).toBe(0);
  });

  it('count by their energy', () => {
    const x = bursts(52000, STARTS, 9);
    for (let i = 0; i < 5000; i++) x[i] *= 2; // the first hit, at 3000
    const { hits } = estimate(x, delayed(x, 12.5), { hitSamples: STARTS });
    expect(hits[0].weight).toBe(Math.max(...hits.map((hit) => hit.weight)));
    expect(hits[0].weight).toBeGreaterThan(2 * hits[1].weight);
  });

  it('are read where they are, from a source that can be longer than memory', () => {
    const x = bursts(52000, STARTS, 10);
    const y = delayed(x, 33.3);
    let samplesRead = 0;
    const far = (samples: Float64Array) => ({
      frames: 1e12,
      read(start: number, into: Float64Array) {
        samplesRead += into.length;
        for (let i = 0; i < into.length; i++) into[i] = samples[start + i - 9e11] ?? 0;
      },
    });
    const hitSamples = STARTS.map((start) => 9e11 + start);
    const result = estimateDelay(far(x), far(y), { sampleRateHz: RATE, hitSamples });
    expect(result.delaySamples).toBeCloseTo(33.3, 3);
    expect(samplesRead).toBeLessThan(1e6);
  });

  it('may hold samples that are no numbers', () => {
    const x = bursts(52000, STARTS, 11);
    const y = delayed(x, 5);
    y[STARTS[0] + 40] = NaN;
    x[STARTS[5] + 11] = Infinity;
    expect(estimate(x, y, { hitSamples: STARTS }).delaySamples).toBeCloseTo(5, 2);
  });
});

describe('what cannot be told', () => {
  const x = bursts(52000, STARTS, 12);
  const low = 0.3;

  it('is said: silence', () => {
    const silent = new Float64Array(52000);
    expect(estimate(x, silent)).toMatchObject({ confidence: 0, reasons: ['the other microphone is silent'] });
    expect(estimate(silent, x)).toMatchObject({ confidence: 0, reasons: ['the reference microphone is silent'] });
    expect(estimate(silent, silent)).toMatchObject({ delaySamples: 0, reasons: ['both microphones are silent'] });
    expect(estimate(x, x, { hitSamples: [] })).toMatchObject({ reasons: ['there is no hit to compare'] });
  });

  it('is said: unrelated recordings', () => {
    for (const seed of [20, 40, 60, 80]) {
      const hits = estimate(x, bursts(52000, STARTS, seed));
      const steady = estimate(noise(48000, seed), noise(48000, seed + 1));
      for (const { confidence, reasons } of [hits, steady]) {
        expect(confidence).toBeLessThan(low);
        expect(reasons.join()).toMatch(/differently/);
      }
    }
  });

  it('is said: a tone', () => {
    const { confidence, reasons } = estimate(sine(48000, 997, RATE), sine(48000, 997, RATE, 1, 1));
    expect(confidence).toBeLessThan(low);
    expect(reasons.join()).toMatch(/repeats itself/);
  });

  it('is said: four samples, or none', () => {
    const four = estimate(Float64Array.of(1, 2, 3, 4), Float64Array.of(2, 3, 1, 0));
    expect(four.confidence).toBeLessThan(low);
    expect(four.reasons.join()).toMatch(/only 1 hit/);
    expect(estimate(new Float64Array(0), new Float64Array(0)).confidence).toBe(0);
  });
});

describe('microphones of the simulated kit', () => {
  let kit: SimulatedKit;
  beforeAll(() => {
    kit = simulateKit({ bars: 4, tailSeconds: 0.5, noiseFloorDb: -60 });
  });

  it.each([
    ['kickIn', 'kickOut', 'kick'],
    ['kickIn', 'overheadLeft', 'kick'],
    ['snareTop', 'snareBottom', 'snare'],
    ['snareTop', 'overheadRight', 'snare'],
    ['hat', 'overheadLeft', 'hat'],
  ] as const)('%s and %s agree with the truth within 0.25 sample after four bars', (reference, other, drum) => {
    const { delaySamples, polarity, hits } = kit.truth;
    const hitSamples = hits.filter((hit) => hit.drum === drum).map((hit) => hit.arrivals[reference]);
    const result = estimate(kit.microphones[reference], kit.microphones[other], { hitSamples });
    expect(Math.abs(result.delaySamples - (delaySamples[other][drum] - delaySamples[reference][drum]))).toBeLessThan(
      0.25,
    );
    expect(result.polarity).toBe(polarity[other][drum] * polarity[reference][drum]);
    expect(result.confidence).toBeGreaterThan(0.7);
  });

  it('of which one hears only bleed leave a doubt', () => {
    const rest = kit.noise('overheadLeft');
    for (const drum of drumNames) {
      if (drum !== 'snare') kit.stem('overheadLeft', drum).forEach((sample, n) => (rest[n] += sample));
    }
    const hitSamples = kit.truth.hits.filter((hit) => hit.drum === 'snare').map((hit) => hit.arrivals.snareTop);
    const result = estimate(kit.microphones.snareTop, rest, { hitSamples });
    expect(result.confidence).toBeLessThan(0.3);
    expect(result.reasons.length).toBeGreaterThan(0);
  });
});

describe('options', () => {
  const x = noise(100, 1);
  it.each<[object, new () => Error, string]>([
    [{ sampleRateHz: 0 }, RangeError, 'estimateDelay: sampleRateHz must be 8000 to 384000, got 0'],
    [{ maxDelayMs: 0 }, RangeError, 'estimateDelay: maxDelayMs must be 0.1 to 100, got 0'],
    [{ maxDistanceMetres: NaN }, RangeError, 'estimateDelay: maxDistanceMetres must be 0.05 to 30, got NaN'],
    [
      { maxDelayMs: 1, maxDistanceMetres: 1 },
      RangeError,
      'estimateDelay: give maxDelayMs or maxDistanceMetres, not both',
    ],
    [{ temperatureC: '20' }, TypeError, 'estimateDelay: temperatureC must be a number from -30 to 60, got "20"'],
    [{ hitSamples: [1, 101] }, RangeError, 'estimateDelay: hitSamples[1] must be 0 to 100, got 101'],
    [
      { weighting: 'none' },
      TypeError,
      'estimateDelay: weighting must be plain or phaseTransform or coherence, got "none"',
    ],
    [{ weight: 'plain' }, TypeError, 'estimateDelay: weight is unknown; the nearest name is weighting'],
  ])('%j are refused', (options, Kind, message) => {
    expect(() => estimate(x, x, options)).toThrow(new (Kind as new (text: string) => Error)(message));
  });
});
