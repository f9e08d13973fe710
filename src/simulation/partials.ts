/**
 * Sums of decaying sinusoids: what a struck body sounds like.
 *
 *     y(t) = sum over partials of  a 10^(-3 t / T60) sin(phi(t)),    phi'(t) = 2 pi f (1 + b exp(-t / tau))
 *
 * The bend b exp(-t / tau) is the tension of a head that is stretched by a hard stroke and relaxes as it decays: all
 * partials start sharp by the same ratio. Each partial is a complex number turned and shrunk once per sample; a bent
 * one gets a new angle every 16 samples.
 *
 * Source: T. D. Rossing, "Science of Percussion Instruments", 2000 (pitch glide of drums), from memory.
 *
 * @module
 */
import { cos, exp, sin } from '../core/maths.ts';

/** One decaying sinusoid. */
export interface Partial {
  readonly frequencyHz: number;
  readonly amplitude: number;
  /** Time for 60 dB. */
  readonly decaySeconds: number;
}

/** How far and how long all partials start sharp. */
export interface Bend {
  /** Frequency at the stroke over that at rest, minus 1. */
  readonly ratio: number;
  /** Time constant of the return. */
  readonly seconds: number;
}

const BENT_STEP = 16;
const DECAY_PER_SECOND = 3 * Math.LN10; // amplitude falls to 10^-3 in T60

/** Part of T60 after which a sound is dropped: 1.6 x 60 = 96 dB down. */
export const AUDIBLE_DECAYS = 1.6;

/** Highest frequency that a voice may contain, over the sample rate. */
export const HIGHEST_CYCLES = 20 / 48;

/** Adds partials to `output` from its start; those above 20/48 of the sample rate are left out. */
export function addPartials(
  output: Float64Array,
  partials: readonly Partial[],
  sampleRateHz: number,
  bend?: Bend,
): void {
  for (const partial of partials) {
    const highestHz = partial.frequencyHz * (1 + Math.max(0, bend?.ratio ?? 0));
    if (highestHz < HIGHEST_CYCLES * sampleRateHz) addPartial(output, partial, sampleRateHz, bend);
  }
}

function addPartial(output: Float64Array, partial: Partial, sampleRateHz: number, bend: Bend | undefined): void {
  const count = Math.min(output.length, Math.ceil(AUDIBLE_DECAYS * partial.decaySeconds * sampleRateHz));
  const shrink = exp(-DECAY_PER_SECOND / (partial.decaySeconds * sampleRateHz));
  const step = bend ? BENT_STEP : count;
  let re = partial.amplitude;
  let im = 0;
  for (let start = 0; start < count; start += step) {
    const seconds = (start + BENT_STEP / 2) / sampleRateHz;
    const sharp = bend ? bend.ratio * exp(-seconds / bend.seconds) : 0;
    const angle = (2 * Math.PI * partial.frequencyHz * (1 + sharp)) / sampleRateHz;
    const c = shrink * cos(angle);
    const s = shrink * sin(angle);
    const end = Math.min(count, start + step);
    for (let i = start; i < end; i++) {
      output[i] += im;
      const next = re * c - im * s;
      im = im * c + re * s;
      re = next;
    }
  }
}
