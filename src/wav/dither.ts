/**
 * Triangular dither: the noise that makes rounding harmless.
 *
 *     d = u1 + u2,   u1, u2 independent and uniform over one step q, so that
 *
 *        |      /\
 *        |    /    \          density of d: 2 q wide, mean 0, variance q^2/6
 *        |__/________\__
 *          -q    0    q
 *
 * Added before rounding to multiples of q, it makes mean and power of the total error independent of the signal: mean
 * 0, power q^2/6 + q^2/12 = q^2/4. No distortion and no noise that moves with the music, for 4.77 dB more noise.
 *
 * Source: S. P. Lipshitz, R. A. Wannamaker, J. Vanderkooy, "Quantization and Dither: A Theoretical Survey", JAES 40(5),
 * 1992, pp. 355-375.
 *
 * @module
 */
import { Random } from '../core/random.ts';

/** Seeded triangular noise, two steps wide from end to end; a step is 1. */
export class TriangularDither {
  readonly #random: Random;

  constructor(seed: number) {
    this.#random = new Random(seed);
  }

  /** Adds one fresh value to each of the first `count` samples, which are in units of a step. */
  addTo(samples: Float64Array, count: number): void {
    const random = this.#random;
    for (let i = 0; i < count; i++) samples[i] += random.next() + random.next() - 1;
  }
}
