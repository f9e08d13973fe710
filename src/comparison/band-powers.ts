/**
 * Powers of a recording in ERB bands, over time: a frame of 85 ms every 21 ms (at 48 kHz), under a Hann window.
 *
 * @module
 */
import { RealFft } from '../core/fft.ts';
import { INPUT_LIMIT } from '../core/pieces.ts';
import type { SampleSource } from '../core/sample-source.ts';
import { hann } from '../core/windows.ts';
import type { FrequencyBand } from '../core/third-octaves.ts';

/** Shortest frame that resolves the lowest bands of a kick. */
const FRAME_SECONDS = 0.08;
const OVERLAP = 4;

/** Reads recordings frame by frame and tells their powers in bands. */
export class BandPowers {
  /** Samples between two frames. */
  readonly hopSamples: number;
  readonly #size: number;
  readonly #fft: RealFft;
  readonly #window: Float64Array;
  readonly #frame: Float64Array;
  readonly #re: Float64Array;
  readonly #im: Float64Array;
  readonly #shares: readonly { readonly first: number; readonly shares: Float64Array }[];

  constructor(sampleRateHz: number, bands: readonly FrequencyBand[]) {
    let size = 2;
    while (size < FRAME_SECONDS * sampleRateHz) size *= 2;
    this.hopSamples = size / OVERLAP;
    this.#size = size;
    this.#fft = new RealFft(size);
    this.#window = hann(size, { periodic: true });
    this.#frame = new Float64Array(size);
    this.#re = new Float64Array(size / 2 + 1);
    this.#im = new Float64Array(size / 2 + 1);
    this.#shares = bands.map((band) => sharesOf(band, sampleRateHz / size, size / 2));
  }

  /**
   * Fills `powers` with the mean power, over the frame around `sample`, of all channels together in each band. Samples
   * that are not finite, or above 1e6, count as 0.
   */
  read(channels: readonly SampleSource[], sample: number, powers: Float64Array): void {
    const frame = this.#frame,
      window = this.#window,
      re = this.#re,
      im = this.#im;
    powers.fill(0);
    for (const channel of channels) {
      channel.read(sample - this.#size / 2, frame);
      for (let i = 0; i < frame.length; i++) {
        frame[i] = Math.abs(frame[i]) <= INPUT_LIMIT ? frame[i] * window[i] : 0; // 0 for NaN, too
      }
      this.#fft.forward(frame, re, im);
      for (let b = 0; b < powers.length; b++) {
        const { first, shares } = this.#shares[b];
        for (let i = 0; i < shares.length; i++) {
          const k = first + i;
          powers[b] += shares[i] * (re[k] * re[k] + im[k] * im[k]);
        }
      }
    }
  }
}

/** How much of each bin counts for a band. A window's squares have the mean 3/8; both signs of a frequency count. */
function sharesOf(
  { fromHz, toHz }: FrequencyBand,
  binHz: number,
  last: number,
): { first: number; shares: Float64Array } {
  const first = Math.max(0, Math.floor(fromHz / binHz - 0.5));
  const end = Math.min(last, Math.ceil(toHz / binHz + 0.5));
  const scale = 2 / (0.375 * 4 * last * last);
  const shares = Float64Array.from({ length: Math.max(0, end - first + 1) }, (_, i) => {
    const k = first + i;
    return scale * Math.max(0, Math.min(toHz / binHz, k + 0.5) - Math.max(fromHz / binHz, k - 0.5));
  });
  return { first, shares };
}
