/**
 * Fractional tap: reads a delay line between its samples.
 *
 *     y[n] = sum over m of x[n - m] h(m - 47 - D),    m = floor(D) .. floor(D) + 95
 *
 * h is the sinc of half the sample rate under a Kaiser window of 48 samples to each side. Sampled at whole t it is an
 * impulse; between, it delays every frequency alike up to the edge of the window's main lobe, 1.1 / 48 cycles per sample
 * below half the rate. 96 taps and beta = 14 put the error of the response at -134 dB up to 20/48 of the sample rate, and
 * at -129 dB up to 20/44.1.
 *
 * Source: T. I. Laakso, V. Valimaki, M. Karjalainen, U. K. Laine, "Splitting the Unit Delay", IEEE Signal Processing
 * Magazine 13(1), 1996, section on windowed sincs (from memory).
 *
 * @module
 */
import type { DelayLine } from '../core/delay-line.ts';
import { BLOCK } from '../core/pieces.ts';
import type { Part } from '../core/processor.ts';
import { windowedSinc } from './kaiser-design.ts';

/** Length of the kernel. */
export const FRACTIONAL_TAPS = 96;

/** Whole samples by which the kernel is late, besides the delay asked for: what it needs to know of the time after. */
export const FRACTIONAL_LATENCY_SAMPLES = FRACTIONAL_TAPS / 2 - 1;

/** Outputs that the inner loop makes at a time; windows and results are longer by as many. */
const LANES = 4;

/** A place to read from, and the kernel that belongs to it. */
export class FractionalTap implements Part {
  readonly state: readonly Float64Array[];
  readonly #delay = new Float64Array(1);
  readonly #kernel = new Float64Array(FRACTIONAL_TAPS); // from the oldest sample to the newest
  readonly #window = new Float64Array(FRACTIONAL_TAPS - 1 + BLOCK + LANES);
  readonly #sum = new Float64Array(BLOCK + LANES);
  readonly #h = windowedSinc({ cutoffCyclesPerSample: 0.5, halfWidthSamples: FRACTIONAL_TAPS / 2, beta: 14 });

  constructor() {
    this.state = [this.#delay, this.#kernel];
    this.reset();
  }

  /** The delay D, without the latency. */
  get delaySamples(): number {
    return this.#delay[0];
  }

  /** Back to a delay of 0. */
  reset(): void {
    this.tune(0);
  }

  /** Computes the kernel for a delay: 96 Bessel functions and sines, so for `set`, not for every sample. */
  tune(delaySamples: number): void {
    const fraction = delaySamples - Math.floor(delaySamples);
    this.#delay[0] = delaySamples;
    for (let j = 0; j < FRACTIONAL_TAPS; j++) this.#kernel[j] = this.#h(FRACTIONAL_TAPS / 2 - j - fraction);
  }

  copy(tap: FractionalTap): void {
    this.#delay[0] = tap.#delay[0];
    this.#kernel.set(tap.#kernel);
  }

  /**
   * Fills `y[0 .. count)`, at most 128, for the last `count` samples written to `line`, which must hold 96 samples more
   * than the delay. A whole delay is read bit for bit.
   */
  read(line: DelayLine, y: Float64Array, count: number): void {
    const delay = this.#delay[0],
      whole = Math.floor(delay),
      sum = this.#sum;
    if (delay === whole) return line.read(y, count, whole + FRACTIONAL_LATENCY_SAMPLES);
    line.read(this.#window, FRACTIONAL_TAPS - 1 + count, whole);
    convolve(this.#window, this.#kernel, count, sum);
    for (let i = 0; i < count; i++) y[i] = sum[i];
  }
}

/**
 * y[i] = sum over j of taps[j] w[i + j]. Four outputs at a time share the loading of a tap; up to three outputs behind
 * `count` are left undefined.
 */
function convolve(w: Float64Array, taps: Float64Array, count: number, y: Float64Array): void {
  for (let i = 0; i < count; i += LANES) {
    let a = 0,
      b = 0,
      c = 0,
      d = 0;
    for (let j = 0; j < taps.length; j++) {
      const tap = taps[j],
        p = i + j;
      a += tap * w[p];
      b += tap * w[p + 1];
      c += tap * w[p + 2];
      d += tap * w[p + 3];
    }
    y[i] = a;
    y[i + 1] = b;
    y[i + 2] = c;
    y[i + 3] = d;
  }
}
