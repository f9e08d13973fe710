import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { Random } from '../../src/core/random.ts';
import { type Onset, OnsetDetector, type OnsetDetectorOptions } from '../../src/hits/onset-detector.ts';
import { expectParts } from '../support/expect-parts.ts';
import { bursts } from './hits-support.ts';

function onsetsOf(x: Float64Array | Float32Array, options: OnsetDetectorOptions = {}, sampleRateHz = 48000): Onset[] {
  const detector = new OnsetDetector(sampleRateHz, options);
  return [...detector.process(x), ...detector.finish()];
}

const samples = (onsets: readonly Onset[]): number[] => onsets.map(({ sample }) => sample);

/** Hits from 0 to -20 dB, 150 ms to 300 ms apart, and where they are. */
const gains = [1, 0.3, 0.1, 0.8, 0.15, 0.5];
const places = gains.map((_, i) => 3001 + i * 9600 + 1777 * (i % 3));
const hits = places.map((sample, i) => ({ sample, gain: 0.5 * gains[i] }));
const signal = bursts(72000, 48000, hits);

describe('the onset detector', () => {
  it('finds every hit, within 0.1 ms of where it begins', () => {
    const found = samples(onsetsOf(signal));
    expect(found).toHaveLength(hits.length);
    found.forEach((sample, i) => {
      expect(Math.abs(sample - places[i])).toBeLessThan(4.8);
    });
  });

  it('measures the peak of the key band: 20 dB softer reads 20 dB less', () => {
    const options = { lowHz: 20, highHz: 20000 };
    const loud = onsetsOf(bursts(24000, 48000, [{ sample: 9600, gain: 0.5 }]), options);
    const soft = onsetsOf(bursts(24000, 48000, [{ sample: 9600, gain: 0.05 }]), options);
    expect(loud[0].velocityDb).toBeGreaterThan(-9); // uniform noise within +-0.5, filtered
    expect(loud[0].velocityDb).toBeLessThan(-3);
    expect(loud[0].velocityDb - soft[0].velocityDb).toBeCloseTo(20, 1);
  });

  it('gives the same onsets for any cut into blocks, Float32 or Float64', () => {
    const x = Float32Array.from(signal);
    const whole = onsetsOf(x);
    expect(whole.length).toBeGreaterThan(4);
    expect(onsetsOf(Float64Array.from(x))).toEqual(whole);
    fc.assert(
      fc.property(fc.array(fc.integer({ min: 0, max: 3000 }), { minLength: 1, maxLength: 8 }), (lengths) => {
        const detector = new OnsetDetector(48000);
        const onsets: Onset[] = [];
        for (let at = 0, block = 0; at < x.length; block++) {
          const end = Math.min(x.length, at + Math.max(block % 50 === 0 ? 1 : 0, lengths[block % lengths.length]));
          onsets.push(...detector.process(x, at, end));
          at = end;
        }
        expect([...onsets, ...detector.finish()]).toEqual(whole);
      }),
      { numRuns: 12 },
    );
  });

  it('sample by sample, tells an onset as soon as latencySamples have followed it', () => {
    const detector = new OnsetDetector(48000);
    const late: number[] = [];
    for (let i = 0; i < 24000; i++) {
      for (const { sample } of detector.process(signal, i, i + 1)) late.push(i + 1 - sample);
    }
    expect(late.length).toBeGreaterThan(0);
    expect(Math.max(...late)).toBeLessThanOrEqual(detector.latencySamples);
    expect(Math.min(...late)).toBeGreaterThan(detector.latencySamples / 2); // the bound is no idle one
  });

  it('of onsets closer than minimumDistanceMs tells the greater rise', () => {
    const strokes = [9600, 10600].map((sample) => ({ sample, gain: 0.5 }));
    const close = bursts(24000, 48000, strokes, 0.05);
    expect(samples(onsetsOf(close, { minimumDistanceMs: 10 })).map(Math.round)).toEqual([9600, 10600]);
    expect(samples(onsetsOf(close, { minimumDistanceMs: 60 })).map(Math.round)).toEqual([9600]);
  });

  it('hears only its key band', () => {
    const tone = (frequencyHz: number) =>
      Float64Array.from({ length: 24000 }, (_, i) =>
        i < 9600 ? 0 : 0.3 * Math.sin((2 * Math.PI * frequencyHz * (i - 9600)) / 48000) * Math.exp(-(i - 9600) / 4000),
      );
    const low = { lowHz: 50, highHz: 300, riseDb: 12 };
    const high = { lowHz: 5000, highHz: 15000, riseDb: 12 };
    expect(onsetsOf(tone(150), low)).toHaveLength(1);
    expect(onsetsOf(tone(9000), high)).toHaveLength(1);
    expect(onsetsOf(tone(9000), { ...low, floorDb: -50 })).toEqual([]);
    expect(onsetsOf(tone(150), { ...high, floorDb: -50 })).toEqual([]);
  });

  it('finds nothing in nothing, in silence, in a constant, and in steady noise nothing clear', () => {
    expect(onsetsOf(new Float64Array(0))).toEqual([]);
    expect(onsetsOf(new Float64Array(1))).toEqual([]);
    expect(onsetsOf(new Float64Array(96000))).toEqual([]);
    expect(onsetsOf(new Float64Array(96000).fill(0.7))).toEqual([]);
    const random = new Random(1);
    const noise = Float64Array.from({ length: 192000 }, () => 0.2 * (2 * random.next() - 1));
    expect(onsetsOf(noise, { riseDb: 6 }).filter(({ sample }) => sample > 1000)).toEqual([]);
  });

  it('does not mind an offset, nor where the recording begins and ends', () => {
    const plain = onsetsOf(signal);
    const offset = onsetsOf(signal.map((x) => x + 0.25));
    expect(offset).toHaveLength(plain.length);
    offset.forEach(({ sample, velocityDb }, i) => {
      expect(sample).toBeCloseTo(plain[i].sample, 3);
      expect(velocityDb).toBeCloseTo(plain[i].velocityDb, 6);
    });
    expect(samples(onsetsOf(signal.subarray(3001))).slice(1)).toEqual(
      samples(plain.slice(1)).map((sample) => expect.closeTo(sample - 3001, -1) as number),
    );
  });

  it('finds a hit at the very beginning and one just before the end', () => {
    const found = samples(
      onsetsOf(
        bursts(24000, 48000, [
          { sample: 0, gain: 0.5 },
          { sample: 23800, gain: 0.5 },
        ]),
      ),
    );
    expect(found).toHaveLength(2);
    expect(found[0]).toBeLessThan(3);
    expect(Math.abs(found[1] - 23800)).toBeLessThan(3);
  });

  it('finds the hits of a clipped recording', () => {
    const clipped = onsetsOf(signal.map((x) => Math.max(-0.1, Math.min(0.1, x))));
    expect(samples(clipped).map((sample) => Math.round(sample / 100))).toEqual(
      places.map((sample) => Math.round(sample / 100)),
    );
  });

  it.each([8000, 44100, 96000, 192000])('finds hits within 0.2 ms at %i Hz', (sampleRateHz) => {
    const at = places.map((sample) => Math.round((sample / 48000) * sampleRateHz));
    const x = bursts(
      1.5 * sampleRateHz,
      sampleRateHz,
      at.map((sample, i) => ({ sample, gain: 0.5 * gains[i] })),
    );
    const found = samples(onsetsOf(x, { highHz: 3900 }, sampleRateHz));
    expect(found).toHaveLength(at.length);
    found.forEach((sample, i) => {
      expect(Math.abs(sample - at[i]) / sampleRateHz).toBeLessThan(0.0002);
    });
  });

  it('counts samples that are not finite as silence', () => {
    const broken = signal.slice();
    const mended = signal.slice();
    for (const i of [100, 20000, 50001]) {
      broken[i] = [NaN, Infinity, 1e9][i % 3];
      mended[i] = 0;
    }
    expect(onsetsOf(broken)).toEqual(onsetsOf(mended));
  });

  it('begins anew after finish and after reset', () => {
    const detector = new OnsetDetector(48000);
    const first = [...detector.process(signal), ...detector.finish()];
    expect([...detector.process(signal), ...detector.finish()]).toEqual(first);
    detector.process(signal.subarray(0, places[2] + 1000)); // with an onset that is not certain yet
    detector.reset();
    expect([...detector.process(signal), ...detector.finish()]).toEqual(first);
  });

  it('refuses what it cannot do', () => {
    expect(() => new OnsetDetector(48000, { riseDb: 0 })).toThrow('OnsetDetector: riseDb must be 0.5 to 40, got 0');
    expect(() => new OnsetDetector(48000, { lowHz: 500, highHz: 400 })).toThrow(
      'OnsetDetector: highHz must be above lowHz (500), got 400',
    );
    expect(() => new OnsetDetector(4000)).toThrow(RangeError);
    expectParts('OnsetDetector', (start, end) => {
      new OnsetDetector(48000).process(signal.subarray(0, 8), start, end);
    });
    expect(() => new OnsetDetector(48000).process([0] as unknown as Float64Array)).toThrow(TypeError);
  });
});
