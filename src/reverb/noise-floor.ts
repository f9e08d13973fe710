/**
 * Where the decay of a measured impulse response sinks into its background noise.
 *
 *     level  \
 *             \   late decay, fitted 7.5 to 27.5 dB above the noise
 *              \
 *               \____________ noise: mean power behind the crossing, a margin of 7.5 dB of decay left out
 *                ^ crossing
 *
 * The response is squared and averaged over intervals, five of them to 10 dB of decay; noise, decay and crossing are then
 * estimated in turn until the crossing stays.
 *
 * Source: A. Lundeby, T. E. Vigran, H. Bietz, M. Vorlaender, "Uncertainties of Measurements in Room Acoustics", Acustica
 * 81, 1995 (from memory); our margins lie in the ranges given there.
 *
 * @module
 */
import { log10 } from '../core/maths.ts';
import { lineThrough } from './line-fit.ts';

/** Background noise of an impulse response and the decay in front of it. */
export interface NoiseFloor {
  /** Mean square of the noise. */
  readonly noisePower: number;
  /** Time at which the decay reaches the noise. */
  readonly crossingSeconds: number;
  /** Time in which the late decay falls by 60 dB. */
  readonly decaySeconds: number;
}

const FIRST_INTERVAL_SECONDS = 0.03;
const INTERVALS_PER_10_DB = 5;
const MARGIN_DB = 7.5;
const FITTED_DB = 20;
/** The noise is always measured over this share of the response, its end. */
const NOISE_SHARE = 0.1;
const ROUNDS = 10;
/** Rounds end when the crossing moves by less than this. */
const SETTLED_SECONDS = 0.001;

/**
 * Noise, late decay and crossing of an impulse response whose first sample is the arrival of the direct sound. Digital silence
 * at its end was added to it and says nothing of its noise: it is left out.
 *
 * @throws RangeError if no decay can be told from the noise
 */
export function findNoiseFloor(impulseResponse: Float32Array | Float64Array, sampleRateHz: number): NoiseFloor {
  const h = withoutSilentEnd(impulseResponse),
    length = h.length;
  const last = Math.floor((1 - NOISE_SHARE) * length);
  let noisePower = meanPower(h, last, length);
  let step = Math.max(1, Math.round(FIRST_INTERVAL_SECONDS * sampleRateHz));
  let levels = intervalLevels(h, step);
  const peak = levels.indexOf(Math.max(...levels));
  const noiseDb = () => 10 * log10(noisePower);

  let end = peak;
  while (levels[end] > noiseDb() + MARGIN_DB) end++;
  let decay = decayThrough(levels, peak, end, step);
  let crossing = decay.timeOf(noiseDb());

  for (let round = 0; round < ROUNDS; round++) {
    step = Math.max(1, Math.round(10 / -decay.dbPerSample / INTERVALS_PER_10_DB));
    levels = intervalLevels(h, step);
    const quiet = crossing - MARGIN_DB / decay.dbPerSample;
    noisePower = meanPower(h, Math.max(0, Math.min(last, Math.round(quiet))), length);
    const from = Math.max(0, decay.timeOf(noiseDb() + MARGIN_DB + FITTED_DB)),
      to = decay.timeOf(noiseDb() + MARGIN_DB);
    decay = decayThrough(levels, Math.round(from / step), Math.min(levels.length, Math.round(to / step)), step);
    const before = crossing;
    crossing = decay.timeOf(noiseDb());
    if (Math.abs(crossing - before) < SETTLED_SECONDS * sampleRateHz) break;
  }
  return {
    noisePower,
    crossingSeconds: Math.min(length, Math.max(0, crossing)) / sampleRateHz,
    decaySeconds: -60 / decay.dbPerSample / sampleRateHz,
  };
}

function withoutSilentEnd(h: Float32Array | Float64Array): Float32Array | Float64Array {
  let end = h.length;
  while (end > 0 && h[end - 1] === 0) end--;
  return h.subarray(0, end);
}

/** A straight decay: its slope, and the sample at which it passes a level. */
interface Decay {
  readonly dbPerSample: number;
  readonly timeOf: (levelDb: number) => number;
}

/** The decay through the intervals from `start` to `end`, each `step` samples long and placed at its middle. */
function decayThrough(levels: Float64Array, start: number, end: number, step: number): Decay {
  const { at0, slope } = lineThrough(levels, start, end);
  if (!(slope < 0)) throw new RangeError('findNoiseFloor: impulseResponse must decay before its noise, got no decay');
  return { dbPerSample: slope / step, timeOf: (levelDb) => ((levelDb - at0) / slope + 0.5) * step };
}

/** Mean power of each interval of `step` samples, in dB; an interval that is cut short is left out. */
function intervalLevels(h: Float32Array | Float64Array, step: number): Float64Array {
  const levels = new Float64Array(Math.floor(h.length / step));
  // Digital silence has a level, too: the smallest number's.
  for (let i = 0; i < levels.length; i++) levels[i] = 10 * log10(meanPower(h, i * step, (i + 1) * step) + 5e-324);
  return levels;
}

function meanPower(h: Float32Array | Float64Array, start: number, end: number): number {
  let sum = 0;
  for (let n = start; n < end; n++) sum += h[n] * h[n];
  return sum / Math.max(1, end - start);
}
