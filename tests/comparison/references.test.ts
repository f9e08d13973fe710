import { describe, expect, it } from 'vitest';
import { loudSections } from '../../src/comparison/loud-sections.ts';
import { recordingOf } from '../../src/comparison/recording.ts';
import { compareWithReferences as compareRecordings } from '../../src/comparison/references.ts';
import { Random } from '../../src/core/random.ts';
import { BiquadCascade } from '../../src/filters/biquad-cascade.ts';
import { resample } from '../../src/filters/resampler.ts';
import { highShelf } from '../../src/filters/shelf-design.ts';
import { comparedBands, nominalHz } from '../../src/comparison/quantities.ts';
import { frequencyResponse } from '../../src/filters/response.ts';
import { noise } from '../support/signals.ts';

const RATE = 48000;

/** A track in memory. */
interface Track {
  readonly sampleRateHz: number;
  readonly channels: readonly (Float32Array | Float64Array)[];
}
const recorded = ({ sampleRateHz, channels }: Track) => recordingOf(sampleRateHz, channels);
const compareWithReferences = (mix: Track, references: Readonly<Record<string, Track>>) =>
  compareRecordings(
    recorded(mix),
    Object.fromEntries(Object.entries(references).map(([name, reference]) => [name, recorded(reference)])),
  );

/** A track: noise with a falling spectrum, pumping in level, partly wide. */
function track(seed: number, seconds = 3, tilt = 0.9) {
  const random = new Random(seed);
  const low = [0, 0];
  const channels = [0, 1].map(() => new Float64Array(seconds * RATE));
  for (let i = 0; i < channels[0].length; i++) {
    const common = random.uniform(-1, 1);
    const level = 0.1 + 0.4 * Math.exp(-(i % 12000) / 2500);
    for (let c = 0; c < 2; c++) {
      low[c] = tilt * low[c] + (1 - tilt) * (common + 0.3 * random.uniform(-1, 1));
      channels[c][i] = level * (low[c] + 0.05 * random.uniform(-1, 1));
    }
  }
  return { sampleRateHz: RATE, channels };
}
const scaled = (x: Track, gain: number): Track => ({
  ...x,
  channels: x.channels.map((channel) => Float32Array.from(channel, (v) => gain * v)),
});
function shelved(x: ReturnType<typeof track>, gainDb: number) {
  const section = highShelf({ sampleRateHz: RATE, frequencyHz: 6000, slope: 1, gainDb });
  const filter = new BiquadCascade({ sampleRateHz: RATE, channels: 2 }, [section]);
  const channels = x.channels.map((channel) => new Float32Array(channel.length));
  filter.process(x.channels, channels);
  const response = (hz: number) =>
    frequencyResponse([section], { sampleRateHz: RATE, frequenciesHz: [hz] }).magnitudeDb[0];
  return { response, recording: { ...x, channels } };
}

describe('comparison with references', () => {
  const references = { one: track(1), two: track(2), three: track(3) };

  it('finds a mix that is one of the references inside every margin', () => {
    const { quantities, findings } = compareWithReferences(references.two, references);
    expect(quantities.length).toBeGreaterThan(30);
    expect(quantities.filter(({ verdict }) => verdict !== 'inside')).toEqual([]);
    expect(findings).toEqual([]);
  });

  it('finds a shelf of +4 dB above 6 kHz in exactly the bands that it raises, by what it raises them', () => {
    const { recording, response } = shelved(references.two, 4);
    const { quantities, findings } = compareWithReferences(recording, references);
    const bands = quantities.filter(({ kind }) => kind === 'band');
    const unchanged = compareWithReferences(references.two, references).quantities;
    const errors = bands.map(({ name, beyond, greatest }) => {
      const hz = comparedBands().find((band) => `band ${nominalHz(band)}` === name)?.frequencyHz as number;
      // What the unchanged mix leaves to the highest reference takes its share of the change.
      const room = greatest - (unchanged.find((quantity) => quantity.name === name)?.value as number);
      return { name, error: Math.abs(beyond - Math.max(0, response(hz) - room)) };
    });
    expect(errors.filter(({ error }) => error > 0.3)).toEqual([]);
    const outside = bands.filter(({ verdict }) => verdict === 'above').map(({ name }) => Number(name.slice(5)));
    expect(outside).toEqual(expect.arrayContaining([6300, 8000, 10000, 12500, 16000, 20000]));
    expect(Math.min(...outside)).toBeGreaterThanOrEqual(4000);
    expect(bands.filter(({ verdict }) => verdict === 'below')).toEqual([]);
    expect(findings.join('\n')).toMatch(/^highs \(8000 to 20000 Hz\) up to [34]\.\d dB above the highest reference$/m);
  });

  it('changes no verdict for a copy that is 10 dB louder', () => {
    const mix = shelved(track(4), 3).recording;
    const verdicts = (x: Track) => compareWithReferences(x, references).quantities.map(({ verdict }) => verdict);
    expect(verdicts(scaled(mix, 10 ** 0.5))).toEqual(verdicts(mix));
    const { gainsDb } = compareWithReferences(scaled(references.one, 10 ** -0.5), references);
    expect(gainsDb.one).toBeCloseTo(-10, 6);
  });

  it('names the bands as ISO 266 does', () => {
    const names = comparedBands().map(nominalHz);
    expect(names.slice(0, 3)).toEqual(['20', '25', '31.5']);
    expect(names.slice(-4)).toEqual(['10000', '12500', '16000', '20000']);
    expect(names).toHaveLength(31);
  });

  it('leaves out the width of mono tracks', () => {
    const mono = { sampleRateHz: RATE, channels: [references.one.channels[0]] };
    const { quantities } = compareWithReferences(mono, { mono });
    expect(quantities.some(({ kind }) => kind === 'width')).toBe(false);
    expect(quantities.every(({ value }) => Number.isFinite(value))).toBe(true);
  });

  it('finds nothing between white noise and itself at a rate that cuts the highest bands', () => {
    const mix = { sampleRateHz: RATE, channels: [9, 10].map((seed) => noise(4 * RATE, seed)) };
    const highest = [44_100, 32_000].map((sampleRateHz) => {
      const copy = { sampleRateHz, channels: resample(mix.channels, RATE, sampleRateHz) };
      const { quantities, findings } = compareWithReferences(mix, { copy });
      // Peaks are not judged here: the highs are a part of them.
      expect(findings.filter((finding) => !/^(crest factor|peak-to-loudness)/.test(finding))).toEqual([]);
      const bands = quantities.filter(({ kind }) => kind === 'band');
      // White stays white; only the lowest bands, of a few bins, feel that frames are longer at another rate.
      const changed = bands.filter(({ name, beyond }) => Number(name.slice(5)) >= 100 && Math.abs(beyond) > 0.05);
      expect(changed).toEqual([]);
      return [bands.at(-1)?.name, quantities.at(-1)?.name];
    });
    // IEC 61260-1: the bands named 16 kHz and 12.5 kHz end at 17.78 and 14.13 kHz, within half of 44.1 and 32 kHz.
    expect(highest).toEqual([
      ['band 16000', 'width of the highs'],
      ['band 12500', 'width of the high mids'],
    ]);
  });

  it('refuses no reference, and silence', () => {
    expect(() => compareWithReferences(references.one, {})).toThrow('references must be at least one');
    const silent = scaled(references.one, 0);
    expect(() => compareWithReferences(silent, references)).toThrow('mix: must hold sound');
    expect(() => compareWithReferences(references.one, { quiet: silent })).toThrow('references.quiet: must hold sound');
  });
});

describe('loud sections', () => {
  it('are the louder half of the slices of 3 s', () => {
    const loud = track(5, 6),
      quiet = scaled(track(6, 6), 0.1);
    const channels = loud.channels.map((x, c) => {
      const both = new Float32Array(12 * RATE);
      both.set(quiet.channels[c]);
      both.set(x, 6 * RATE);
      return both;
    });
    const sections = loudSections(recordingOf(RATE, channels));
    expect(sections.map(({ start }) => start / RATE)).toEqual([6, 9]);
    expect(sections.map(({ end }) => end / RATE)).toEqual([9, 12]);
  });
});
