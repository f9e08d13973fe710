import { describe, expect, it } from 'vitest';
import { barkOf, spreadingDb } from '../../src/comparison/masking-model.ts';
import { maskingReport } from '../../src/comparison/masking.ts';
import { type SampleSource, sourceOf } from '../../src/core/sample-source.ts';
import perception from '../vectors/perception.json';

const RATE = 48000;
const sine = (frequencyHz: number, levelDb: number, frames = RATE) => {
  const gain = 10 ** (levelDb / 20);
  return [
    sourceOf(Float64Array.from({ length: frames }, (_, i) => gain * Math.sin((2 * Math.PI * frequencyHz * i) / RATE))),
  ];
};
const marginAt = (report: ReturnType<typeof maskingReport>, frequencyHz: number) =>
  report.bands.find((band) => band.fromHz <= frequencyHz && frequencyHz < band.toHz);

describe('masking model', () => {
  it('spreads as Schroeder, Atal and Hall publish: 4.3 dB down one Bark above the masker, 7.9 dB one below', () => {
    // Values of JASA 66, 1979, section on the spreading function; asymptotes +25 and -10 dB per Bark.
    expect(spreadingDb(0)).toBeCloseTo(-0.0014, 3);
    expect(spreadingDb(1)).toBeCloseTo(-4.306, 3);
    expect(spreadingDb(-1)).toBeCloseTo(-7.908, 3);
    expect(spreadingDb(3)).toBeCloseTo(-21.399, 3);
    expect(spreadingDb(-3)).toBeCloseTo(-50.678, 3);
    expect(spreadingDb(-101) - spreadingDb(-100)).toBeCloseTo(-25, 1);
    expect(spreadingDb(101) - spreadingDb(100)).toBeCloseTo(-10, 1);
  });

  it('knows the Bark scale with its corrections at both ends', () => {
    expect(barkOf(1000)).toBeCloseTo(8.527, 3);
    expect(barkOf(50)).toBeCloseTo(0.416, 3);
    expect(barkOf(16000)).toBeCloseTo(24.07, 2);
  });

  it('agrees with the table computed from the published form', () => {
    for (const { dz, dB } of perception.spreading_schroeder1979) expect(spreadingDb(dz)).toBeCloseTo(dB, 4);
  });
});

describe('masking report', () => {
  it('reads the margin of a tone under a louder tone in its own band: their difference plus the offset', () => {
    const report = maskingReport(sine(1000, -30), { keys: sine(1010, -12) }, { sampleRateHz: RATE });
    const band = marginAt(report, 1000);
    expect(band?.marginDb).toBeCloseTo(-30 + 12 + 5.5, 0);
    expect(band?.masker).toBe('keys');
    expect(band?.maskedPercent).toBeGreaterThan(95);
  });

  it('is monotone in a level sweep of the part, decibel for decibel', () => {
    const margins = [-60, -50, -40, -30, -20, -10].map(
      (levelDb) =>
        marginAt(maskingReport(sine(200, levelDb), { bass: sine(150, -12) }, { sampleRateHz: RATE }), 200)
          ?.marginDb as number,
    );
    for (let i = 1; i < margins.length; i++) expect(margins[i] - margins[i - 1]).toBeCloseTo(10, 3);
  });

  it('covers more above a masker than below it', () => {
    const above = marginAt(maskingReport(sine(1500, -30), { keys: sine(1000, -12) }, { sampleRateHz: RATE }), 1500);
    const below = marginAt(maskingReport(sine(660, -30), { keys: sine(1000, -12) }, { sampleRateHz: RATE }), 660);
    expect(above?.marginDb).toBeLessThan((below?.marginDb as number) - 5);
  });

  it('names the stem that covers, and says it of the hits', () => {
    const frames = 3 * RATE;
    const kick = new Float64Array(frames);
    const hits = [0.5, 1.5, 2.5].map((seconds) => seconds * RATE);
    for (const hit of hits) {
      for (let i = 0; i < 6000; i++)
        kick[hit + i] = 0.1 * Math.exp(-i / 2000) * Math.sin((2 * Math.PI * 70 * i) / RATE);
    }
    const rest = { bass: sine(75, -6, frames), organ: sine(2000, -6, frames) };
    const report = maskingReport([sourceOf(kick)], rest, { sampleRateHz: RATE, hitSamples: hits, name: 'kick' });
    expect(marginAt(report, 70)?.masker).toBe('bass');
    expect(marginAt(report, 70)?.times).toBe(3);
    expect(report.facts.join('\n')).toMatch(/^kick \d+-\d+ Hz is \d+ dB under bass in 100 % of its hits$/m);
  });

  it('takes a sample that is no number, or huge, for silence, in the part and in the rest', () => {
    const holed = (hole: number) => [
      sourceOf(Float64Array.from({ length: RATE }, (_, i) => (i === 24_000 ? hole : Math.sin((2 * Math.PI * i) / 48)))),
    ];
    const reports = [0, NaN, -Infinity, 2e6].map((hole) =>
      maskingReport(holed(hole), { keys: holed(hole) }, { sampleRateHz: RATE }),
    );
    expect(marginAt(reports[0], 1000)?.marginDb).toBeCloseTo(5.5, 0); // a tone beside itself: the offset alone
    for (const report of reports) expect(report).toEqual(reports[0]);
  });

  it('gives the mean of the two middle margins for an even count of hits', () => {
    const [soft] = sine(1000, -40, 2 * RATE);
    const hits = [0.5 * RATE, 1.5 * RATE];
    const part: SampleSource = {
      frames: soft.frames,
      read(start, into) {
        soft.read(start, into);
        for (let i = 0; i < into.length; i++) if (start + i >= RATE) into[i] *= Math.sqrt(10);
      },
    };
    const report = maskingReport([part], { keys: sine(1010, -12, 2 * RATE) }, { sampleRateHz: RATE, hitSamples: hits });
    const { hopSamples, marginDb } = report.map;
    const band = report.bands.findIndex(({ toHz }) => toHz > 1000);
    const [first, second] = hits.map((hit) => marginDb[Math.round(hit / hopSamples)][band]);
    expect(second - first).toBeGreaterThan(9);
    // Tone beside a tone: difference of their levels plus the offset of 5.5 dB, -22.5 dB and -12.5 dB.
    expect(Math.abs((report.bands[band].marginDb as number) + 17.5)).toBeLessThan(1);
  });

  it('says nothing where nothing covers, and takes silence for silence', () => {
    const alone = maskingReport(sine(100, -20), {}, { sampleRateHz: RATE });
    expect(alone.facts).toEqual([]);
    expect(marginAt(alone, 100)?.marginDb).toBe(99);
    const silent = maskingReport([sourceOf(new Float64Array(RATE))], { bass: sine(100, -20) }, { sampleRateHz: RATE });
    expect(silent.bands.every(({ marginDb, maskedPercent }) => marginDb === null && maskedPercent === 0)).toBe(true);
    expect(() => maskingReport(sine(100, -20), {}, { sampleRateHz: RATE, hitSamples: [-1] })).toThrow(
      'maskingReport: hitSamples[0] must be 0 to 48000, got -1',
    );
  });
});
