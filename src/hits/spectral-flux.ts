/**
 * Spectral flux: by how much a spectrum has risen. The path of the onset detector that tells a drum from the rest of the
 * kit.
 *
 *     L_b[n] = 10 lg(P_b[n] + floor)                                             level of band b in frame n
 *     flux[n] = (1 / B) sum over b of max(0, L_b[n] - L_b[n - 2])                dB
 *
 * What decays, or stays, gives 0. The logarithm makes a soft stroke count as much as a hard one, and a rise in half of
 * the bands half as much as one in all. Frames follow each other by a quarter of their length; the difference spans two,
 * over which a Hann window has grown from nothing to half its height.
 *
 * Source: J. P. Bello et al., "A Tutorial on Onset Detection in Music Signals", IEEE Trans. Speech and Audio Processing
 * 13(5), 2005 (rectified difference of spectra); S. Boeck, G. Widmer, "Maximum Filter Vibrato Suppression for Onset
 * Detection", DAFx-13, 2013 (logarithmic bands and levels, difference over more than one frame), without its maximum filter:
 * drums have no vibrato.
 *
 * @module
 */
import { dbToGain } from '../core/decibels.ts';
import { log10 } from '../core/maths.ts';
import { BandPowers } from './band-powers.ts';

const FRAMES_BACK = 2;
const HOPS_PER_FRAME = 4;
const BANDS_PER_OCTAVE = 2;

/** Turns frames of a signal, each a hop after the one before, into flux. */
export class SpectralFlux {
  readonly frameSize: number;
  /** Samples from one frame to the next. */
  readonly hop: number;
  readonly #powers: BandPowers;
  readonly #floor: number;
  readonly #levels: Float64Array[]; // of the last frames
  readonly #power: Float64Array;
  #frames = 0;

  /** @param floorDb - level of a sine that would raise a silent band by 3 dB: what is below counts as silence */
  constructor(sampleRateHz: number, lowHz: number, highHz: number, floorDb: number) {
    this.#powers = new BandPowers(sampleRateHz, lowHz, highHz, BANDS_PER_OCTAVE);
    this.frameSize = this.#powers.frameSize;
    this.hop = this.frameSize / HOPS_PER_FRAME;
    const floor = dbToGain(floorDb);
    this.#floor = floor * floor;
    this.#power = new Float64Array(this.#powers.count);
    this.#levels = Array.from({ length: FRAMES_BACK + 1 }, () => new Float64Array(this.#powers.count));
    this.reset();
  }

  /** Begins as if silence had gone before. */
  reset(): void {
    for (const levels of this.#levels) levels.fill(10 * log10(this.#floor));
    this.#frames = 0;
  }

  /** Flux in dB of the next frame, which is `x[at .. at + frameSize)`. */
  next(x: Float64Array, at: number): number {
    const power = this.#power;
    const levels = this.#levels[this.#frames % (FRAMES_BACK + 1)];
    const before = this.#levels[(this.#frames + 1) % (FRAMES_BACK + 1)];
    this.#frames++;
    this.#powers.measure(x, at, power);
    let sum = 0;
    for (let b = 0; b < power.length; b++) {
      const level = 10 * log10(power[b] + this.#floor);
      levels[b] = level;
      if (level > before[b]) sum += level - before[b];
    }
    return sum / power.length;
  }
}
