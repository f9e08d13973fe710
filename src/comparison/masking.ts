/**
 * Masking report: which bands of a part are covered by the rest of the song, when, and by which stem.
 *
 *     margin(band, time) = 10 lg( power of the part / threshold beside all stems )     below 0 dB: not heard in that band
 *
 * What counts are the times at which the part sounds in a band: within 30 dB of its own maximum there, which must itself
 * be within 30 dB of its maximum in any band. Where hits are known, only the loudest frame of the 60 ms after each of
 * them counts.
 *
 * @module
 */
import { requireRange } from '../core/check.ts';
import { log10, pow } from '../core/maths.ts';
import { median } from '../core/median.ts';
import { requireFormat } from '../core/pieces.ts';
import type { SampleSource } from '../core/sample-source.ts';
import { type ErbBand, erbBands } from '../meters/erb-bands.ts';
import { BandPowers } from './band-powers.ts';
import { maskedThreshold, maskingMatrix } from './masking-model.ts';

/** Dynamic range of a part that counts as its sound. */
const SOUNDING_DB = 30;
const HIT_SECONDS = 0.06;
/** What a margin shows at most either way: silence against sound. */
const LIMIT_DB = 99;
/** Share of the times at which a fact is worth telling. */
const TOLD_PERCENT = 25;

/** A part or a stem: a source per channel. */
export type Stem = readonly SampleSource[];

/** What is compared with what. */
export interface MaskingOptions {
  /** Sample rate in hertz. */
  readonly sampleRateHz: number;
  /** Samples at which the part is hit; all times at which it sounds unless given. */
  readonly hitSamples?: readonly number[] | undefined;
  /** Name of the part in sentences; `part` unless given. */
  readonly name?: string | undefined;
}

/** One band of a part. */
export interface BandMasking extends ErbBand {
  /** Times at which the part sounds here, and share of them at which it is covered. */
  readonly times: number;
  /** Share of the drum's time in which the margin is below 0 dB, 0 to 100 %. */
  readonly maskedPercent: number;
  /** Median margin at these times, dB; null if the part never sounds here. */
  readonly marginDb: number | null;
  /** Stem that covers most, by power, and its share in the threshold; null if none. */
  readonly masker: string | null;
  /** Share of that stem in what masks, 0 to 100 %. */
  readonly maskerPercent: number;
}

/** Who covers what. */
export interface MaskingReport {
  /** What is masked, band by band. */
  readonly bands: readonly BandMasking[];
  /** Margins in time: `marginDb[frame][band]`, never NaN: -99 to 99 dB. */
  readonly map: {
    /** Samples from one frame to the next. */
    readonly hopSamples: number;
    /** One array per frame with a value per band, dB. */
    readonly marginDb: readonly Float32Array[];
    /** One array per frame with a value per band: 1 where the part sounds there, else 0. */
    readonly sounds: readonly Uint8Array[];
  };
  /** Facts as sentences: `kick 55-87 Hz is 9 dB under bass in 70 % of its hits`. */
  readonly facts: readonly string[];
}

/**
 * Compares a part with the rest of a song.
 *
 * @throws RangeError or TypeError for a sample rate, or hits that do not lie in the part
 */
export function maskingReport(
  part: Stem,
  rest: Readonly<Record<string, Stem>>,
  { sampleRateHz, hitSamples, name = 'part' }: MaskingOptions,
): MaskingReport {
  requireFormat('maskingReport', { sampleRateHz, channels: part.length });
  const frames = Math.max(...part.map((channel) => channel.frames));
  hitSamples?.forEach((hit, i) => requireRange(`maskingReport: hitSamples[${i}]`, hit, 0, frames));
  const bands = erbBands().filter(({ toHz }) => toHz < sampleRateHz / 2);
  const powers = new BandPowers(sampleRateHz, bands);
  const matrix = maskingMatrix(bands.map(({ frequencyHz }) => frequencyHz));
  const names = Object.keys(rest);
  const count = Math.ceil(frames / powers.hopSamples) + 1;
  const rows = (): Float32Array[] => Array.from({ length: count }, () => new Float32Array(bands.length));
  const own = rows(),
    marginDb = rows(),
    covers = names.map(rows);
  const power = new Float64Array(bands.length),
    threshold = new Float64Array(bands.length);

  for (let f = 0; f < count; f++) {
    const total = new Float64Array(bands.length);
    names.forEach((stem, s) => {
      powers.read(rest[stem], f * powers.hopSamples, power);
      maskedThreshold(matrix, power, threshold);
      covers[s][f].set(threshold);
      for (let b = 0; b < total.length; b++) total[b] += threshold[b];
    });
    powers.read(part, f * powers.hopSamples, power);
    own[f].set(power);
    for (let b = 0; b < total.length; b++) marginDb[f][b] = marginOf(power[b], total[b]);
  }

  const hits = hitSamples?.map((hit) => loudestFrame(own, hit / powers.hopSamples, sampleRateHz / powers.hopSamples));
  const loudest = own.reduce((most, row) => Math.max(most, ...row), 0);
  const sounds = own.map(() => new Uint8Array(bands.length));
  const judged = bands.map((band, b): BandMasking => {
    const sounding = soundingFrames(own, b, loudest);
    for (const f of sounding) sounds[f][b] = 1;
    const times = hits ? hits.filter((f) => sounds[f][b] === 1) : sounding;
    const margins = times.map((f) => marginDb[f][b]);
    const sums = covers.map((stem) => times.reduce((sum, f) => sum + stem[f][b], 0));
    const all = sums.reduce((sum, one) => sum + one, 0);
    const most = sums.indexOf(Math.max(...sums));
    return {
      ...band,
      times: times.length,
      maskedPercent: times.length === 0 ? 0 : (100 * margins.filter((margin) => margin < 0).length) / times.length,
      marginDb: times.length === 0 ? null : median(margins),
      masker: all > 0 ? names[most] : null,
      maskerPercent: all > 0 ? (100 * sums[most]) / all : 0,
    };
  });
  return {
    bands: judged,
    map: { hopSamples: powers.hopSamples, marginDb, sounds },
    facts: factsOf(judged, name, hits ? 'its hits' : 'the time it sounds'),
  };
}

function marginOf(power: number, threshold: number): number {
  if (power <= 0) return -LIMIT_DB;
  return Math.max(-LIMIT_DB, Math.min(LIMIT_DB, 10 * log10(power / Math.max(threshold, 1e-30))));
}

/** Frames at which the part sounds in a band. */
function soundingFrames(own: readonly Float32Array[], band: number, loudest: number): number[] {
  const most = own.reduce((max, row) => Math.max(max, row[band]), 0);
  const range = pow(10, SOUNDING_DB / 10),
    least = most / range;
  if (most === 0 || most < loudest / range) return [];
  return own.flatMap((row, f) => (row[band] >= least ? [f] : []));
}

function loudestFrame(own: readonly Float32Array[], from: number, framesPerSecond: number): number {
  const first = Math.round(from),
    last = Math.min(own.length - 1, Math.round(from + HIT_SECONDS * framesPerSecond));
  const total = (f: number) => own[f].reduce((sum, power) => sum + power, 0);
  let best = Math.min(first, own.length - 1);
  for (let f = best + 1; f <= last; f++) if (total(f) > total(best)) best = f;
  return best;
}

/** Neighbouring bands that one stem covers become one sentence. */
function factsOf(bands: readonly BandMasking[], name: string, when: string): string[] {
  const covered = ({ maskedPercent, masker }: BandMasking) => maskedPercent >= TOLD_PERCENT && masker !== null;
  const runs: BandMasking[][] = [];
  bands.forEach((band, b) => {
    if (!covered(band)) return;
    const before = bands[b - 1] as BandMasking | undefined;
    if (before && covered(before) && before.masker === band.masker) (runs.at(-1) as BandMasking[]).push(band);
    else runs.push([band]);
  });
  return runs.map((run) => {
    const percent = run.reduce((sum, { maskedPercent }) => sum + maskedPercent, 0) / run.length;
    const under = -run.reduce((sum, { marginDb }) => sum + (marginDb ?? 0), 0) / run.length;
    const range = `${Math.round(run[0].fromHz)}-${Math.round((run.at(-1) as BandMasking).toHz)} Hz`;
    const depth = under >= 0.5 ? `${under.toFixed(0)} dB under` : 'at the threshold beside';
    return `${name} ${range} is ${depth} ${run[0].masker} in ${percent.toFixed(0)} % of ${when}`;
  });
}
