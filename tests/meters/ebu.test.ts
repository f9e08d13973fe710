/**
 * EBU Tech 3341 (V4, November 2023), Table 1, and EBU Tech 3342 (2023), Table 1, with the publisher's tolerances. Beside
 * each, where there is one, the reading of an independent meter (scipy) of the same synthesised signal
 * (tests/vectors/ebu.json), to which a correct meter agrees much more closely.
 */
import { describe, expect, it } from 'vitest';
import { LoudnessMeter } from '../../src/meters/loudness.ts';
import { measureTruePeak } from '../../src/meters/true-peak.ts';
import vectors from '../vectors/ebu.json';
import {
  EBU_RATE_HZ,
  integratedSignals,
  join,
  rangeCases,
  type Segment,
  signal11,
  signal12,
  signal14,
  signal9,
  signals10,
  signals13,
  tone,
  truePeakSignal,
} from '../support/ebu-signals.ts';

/** Tolerance of Tech 3341 for loudness, of Tech 3342 for the range. */
const LOUDNESS_LU = 0.1;
const RANGE_LU = 1;
/** Agreement with an independent meter of the same signal. */
const AGREEMENT_LU = 0.001;

const readings: Readonly<Record<string, { own: Readonly<Record<string, number | null>> }>> = vectors.readings;

/** Two channels in phase are one of twice the weight: half the work. */
const meterOfBoth = () => new LoudnessMeter({ sampleRateHz: EBU_RATE_HZ, channels: 1 }, [2]);

function measured(segments: readonly Segment[]): LoudnessMeter {
  const meter = meterOfBoth();
  meter.process([tone(segments)]);
  return meter;
}

/** Largest value of a getter during the last `seconds` of each 10 ms step of a signal, read from outside. */
function readingsOf(
  segments: readonly Segment[],
  read: (meter: LoudnessMeter) => number,
  stepSeconds: number,
): number[] {
  const meter = meterOfBoth();
  const x = tone(segments);
  const step = Math.round(stepSeconds * EBU_RATE_HZ);
  const seen: number[] = [];
  for (let at = 0; at + step <= x.length; at += step) {
    meter.process([x], at, at + step);
    seen.push(read(meter));
  }
  return seen;
}

describe('Tech 3341', () => {
  it.each(Object.entries(integratedSignals))('signal %s: integrated loudness', (number, segments) => {
    const meter = measured(segments);
    const expected = number === '2' ? -33 : -23;
    expect(Math.abs(meter.integratedLufs - expected)).toBeLessThanOrEqual(LOUDNESS_LU);
    const { own } = readings[number];
    expect(Math.abs(meter.integratedLufs - Number(own['I']))).toBeLessThanOrEqual(AGREEMENT_LU);
    expect(Math.abs(meter.figures.maximumMomentaryLufs - Number(own['maxM']))).toBeLessThanOrEqual(AGREEMENT_LU);
    expect(Math.abs(meter.figures.maximumShortTermLufs - Number(own['maxS']))).toBeLessThanOrEqual(AGREEMENT_LU);
    if (number === '1' || number === '2') {
      expect(Math.abs(meter.momentaryLufs - expected)).toBeLessThanOrEqual(LOUDNESS_LU);
      expect(Math.abs(meter.shortTermLufs - expected)).toBeLessThanOrEqual(LOUDNESS_LU);
    }
  });

  it('signal 9: short-term loudness is constant after 3 s', () => {
    const after = readingsOf(signal9, (meter) => meter.shortTermLufs, 0.1).slice(30);
    expect(after.length).toBeGreaterThan(100);
    for (const lufs of after) expect(Math.abs(lufs + 23)).toBeLessThanOrEqual(LOUDNESS_LU);
  });

  it('signal 12: momentary loudness is constant after 1 s', () => {
    const after = readingsOf(signal12, (meter) => meter.momentaryLufs, 0.01).slice(100);
    expect(after.length).toBeGreaterThan(800);
    for (const lufs of after) expect(Math.abs(lufs + 23)).toBeLessThanOrEqual(LOUDNESS_LU);
  });

  it('signal 10: largest short-term loudness of all twenty files', () => {
    for (const segments of signals10) {
      expect(Math.abs(measured(segments).figures.maximumShortTermLufs + 23)).toBeLessThanOrEqual(LOUDNESS_LU);
    }
  });

  it('signal 13: largest momentary loudness of all twenty files', () => {
    for (const segments of signals13) {
      const { maximumMomentaryLufs } = measured(segments).figures;
      expect(Math.abs(maximumMomentaryLufs + 23)).toBeLessThanOrEqual(LOUDNESS_LU);
      expect(Math.abs(maximumMomentaryLufs - Number(readings['13_0'].own['maxM']))).toBeLessThanOrEqual(AGREEMENT_LU);
    }
  });

  it.each([
    ['11', 'short-term', signal11, (meter: LoudnessMeter) => meter.figures.maximumShortTermLufs],
    ['14', 'momentary', signal14, (meter: LoudnessMeter) => meter.figures.maximumMomentaryLufs],
  ] as const)('signal %s: the largest %s loudness rises from -38 to -19, segment by segment', (_, _2, parts, read) => {
    const meter = meterOfBoth();
    parts.forEach((segments, i) => {
      meter.process([tone(segments)]);
      expect(Math.abs(read(meter) - (-38 + i))).toBeLessThanOrEqual(LOUDNESS_LU);
    });
    const { own } = readings[parts === signal11 ? '11' : '14'];
    expect(Math.abs(meter.integratedLufs - Number(own['I']))).toBeLessThanOrEqual(AGREEMENT_LU);
    expect(Math.abs((meter.figures.rangeLu ?? 0) - Number(own['LRA']))).toBeLessThanOrEqual(0.01); // resolution of the histogram
  });

  it('signals 15 to 23: true peak within +0.2/-0.4 dB, and within 0.04 dB of ideal interpolation', () => {
    const ideal: Readonly<Record<string, { synth: { ideal64: number; ITU: number } }>> = vectors.true_peak;
    for (let number = 15; number <= 23; number++) {
      const { signal, expectedDb } = truePeakSignal(number);
      const { ideal64, ITU } = ideal[number].synth;
      const fine = measureTruePeak([signal, signal], EBU_RATE_HZ);
      expect(fine - expectedDb, `${number}`).toBeLessThanOrEqual(0.2);
      expect(fine - expectedDb, `${number}`).toBeGreaterThanOrEqual(-0.4);
      expect(Math.abs(fine - ideal64), `${number}`).toBeLessThanOrEqual(0.04);
      // The published table, as three independent meters read it; never below the sample peak here.
      const table = measureTruePeak([signal], EBU_RATE_HZ, { method: 'table' });
      const samplePeak = 20 * Math.log10(signal.reduce((most, x) => Math.max(most, Math.abs(x)), 0));
      expect(Math.abs(table - Math.max(ITU, samplePeak)), `${number}`).toBeLessThanOrEqual(0.002);
    }
  });
});

describe('Tech 3342', () => {
  it.each(Object.entries(rangeCases))('case %s: loudness range', (number, [segments, rangeLu]) => {
    const { figures } = measured(segments);
    expect(Math.abs((figures.rangeLu ?? 0) - rangeLu)).toBeLessThanOrEqual(RANGE_LU);
    expect(Math.abs((figures.rangeLu ?? 0) - Number(readings[`L${number}`].own['LRA']))).toBeLessThanOrEqual(0.01);
  });
});

it('join puts segments one behind the other', () => {
  expect(Array.from(join([Float64Array.of(1, 2), Float64Array.of(3)]))).toEqual([1, 2, 3]);
});
