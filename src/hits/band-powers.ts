/**
 * Power of a short stretch of sound in bands of equal width on a logarithmic scale.
 *
 *     P_b = (16 / N^2) sum over the bins k of band b of |X[k]|^2,       X = DFT of N samples under a Hann window
 *
 * A sine of amplitude 1 in the middle of a band reads 1.5, the power of its three bins. Bands grow by a constant ratio but hold at least
 * one bin, so the lowest are wider than asked.
 *
 * @module
 */
import { RealFft } from '../core/fft.ts';
import { log2 } from '../core/maths.ts';
import { hann } from '../core/windows.ts';

const FRAME_SECONDS = 0.0107; // 512 samples at 48 kHz: shorter than the distance of two strokes, longer than an attack

/** Length of a stretch: the power of two nearest to 10.7 ms. */
export function frameSizeAt(sampleRateHz: number): number {
  const exponent = Math.round(log2(FRAME_SECONDS * sampleRateHz));
  return 1 << exponent;
}

/** Measures stretches of `frameSize` samples. */
export class BandPowers {
  readonly frameSize: number;
  /** Number of bands. */
  readonly count: number;
  readonly #edges: Int32Array; // band b holds the bins edges[b] to edges[b + 1] - 1
  readonly #fft: RealFft;
  readonly #window: Float64Array;
  readonly #frame: Float64Array;
  readonly #re: Float64Array;
  readonly #im: Float64Array;

  constructor(sampleRateHz: number, lowHz: number, highHz: number, bandsPerOctave: 1 | 2) {
    const size = frameSizeAt(sampleRateHz);
    this.frameSize = size;
    this.#edges = Int32Array.from(
      bandEdges((lowHz * size) / sampleRateHz, (highHz * size) / sampleRateHz, bandsPerOctave),
    );
    this.count = this.#edges.length - 1;
    this.#fft = new RealFft(size);
    this.#window = hann(size, { periodic: true }).map((w) => (w * 4) / size);
    this.#frame = new Float64Array(size);
    this.#re = new Float64Array(this.#fft.bins);
    this.#im = new Float64Array(this.#fft.bins);
  }

  /** Writes the powers of `x[at .. at + frameSize)` to `into`. */
  measure(x: Float64Array, at: number, into: Float64Array): void {
    const frame = this.#frame,
      window = this.#window,
      edges = this.#edges,
      re = this.#re,
      im = this.#im;
    for (let i = 0; i < frame.length; i++) frame[i] = window[i] * x[at + i];
    this.#fft.forward(frame, re, im);
    for (let b = 0; b + 1 < edges.length; b++) {
      let power = 0;
      for (let k = edges[b]; k < edges[b + 1]; k++) power += re[k] * re[k] + im[k] * im[k];
      into[b] = power;
    }
  }
}

/** Bins at which bands begin, from `low` to `high` in bins, and where the last one ends. */
function bandEdges(low: number, high: number, bandsPerOctave: 1 | 2): number[] {
  const ratio = bandsPerOctave === 1 ? 2 : Math.SQRT2;
  const first = Math.max(1, Math.round(low)); // bin 0 is no sound
  const end = Math.max(first + 1, Math.round(high));
  const edges = [first];
  for (let edge = first; edge < end;) {
    edge = Math.min(end, Math.max(edge + 1, Math.ceil(edge * ratio)));
    edges.push(edge);
  }
  return edges;
}
