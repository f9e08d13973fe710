/**
 * First rise: the moment, to a fraction of a sample, at which a hit begins. The energy path of the onset detector.
 *
 *                       k ln(v(0 .. k) + f) + (n - k) ln(v(k .. n) + f)     summed over four bands;     v = mean square
 *     onset = arg min
 *                k
 *
 * The stretch around a rough position is read as noise of one variance before the onset and of another after it; the
 * onset is where that explains it best. Four bands, because a hit rises in all of them and a hat beside it in one. The floor f,
 * 3 % of the band's greatest mean square over 2 ms, keeps bleed that is 15 dB softer from looking like a beginning. A
 * parabola through the least value and its neighbours gives the fraction.
 *
 * Source: N. Maeda, "A Method for Reading and Checking Phase Times in Auto-Processing System of Seismic Wave Data", Zisin 38,
 * 1985, after Akaike's information criterion (from memory); bands and floor are ours.
 *
 * @module
 */
import { log, log10 } from '../core/maths.ts';
import type { BiquadCoefficients } from '../filters/biquad-coefficients.ts';
import { firstOrderHighpass, firstOrderLowpass } from '../filters/first-order-design.ts';

const REACH: Reach = { beforeSeconds: 0.00625, afterSeconds: 0.0052 };
/** Over this long a rise is measured. */
export const RISEN_SECONDS = 0.003;
const SETTLING_SECONDS = 0.005;
const PEAK_SECONDS = 0.002;
const FLOOR = 0.03;
const SILENCE = 1e-12; // (-120 dBFS)^2
const LEAST_SECONDS = 0.00017; // neither part may be shorter: the variance of a few samples says nothing
const CORNERS_HZ = [200, 800, 3200, 12000];
const HIGHEST = 0.45; // of the sample rate: corners above are left out

/** Where a stretch rises. */
export interface Rise {
  /** Index, with its fraction. */
  readonly index: number;
  /** Mean square of the 3 ms from there over that of the stretch before, averaged over the bands in dB. */
  readonly riseDb: number;
}

/** How far a stretch reaches, in seconds: before a rough position and after it. */
export interface Reach {
  readonly beforeSeconds: number;
  readonly afterSeconds: number;
}

/** Finds first rises at one sample rate. */
export class FirstRise {
  /** How far before a rough position samples are needed. */
  readonly before: number;
  /** How far after it. */
  readonly after: number;
  readonly #settling: number;
  readonly #peak: number;
  readonly #risen: number;
  readonly #least: number;
  readonly #bands: readonly (readonly BiquadCoefficients[])[];
  readonly #band: Float64Array;
  readonly #energies: readonly Float64Array[]; // [k]: of the first k samples of a band
  readonly #cost: Float64Array;

  constructor(sampleRateHz: number, { beforeSeconds, afterSeconds }: Reach = REACH) {
    const samples = (seconds: number) => Math.ceil(seconds * sampleRateHz);
    this.#settling = samples(SETTLING_SECONDS);
    this.#peak = samples(PEAK_SECONDS);
    this.#risen = samples(RISEN_SECONDS);
    this.#least = samples(LEAST_SECONDS);
    this.before = samples(beforeSeconds) + this.#settling;
    this.after = samples(afterSeconds);
    this.#bands = bandsAt(sampleRateHz);
    this.#band = new Float64Array(this.before + this.after);
    const length = this.#band.length - this.#settling;
    this.#energies = this.#bands.map(() => new Float64Array(length + 1));
    this.#cost = new Float64Array(length + 1);
  }

  /** The onset near `x[rough]`, of which `before` samples before and `after` samples from it on must exist. */
  find(x: Float64Array, rough: number): Rise {
    const cost = this.#cost;
    cost.fill(0);
    this.#bands.forEach((sections, b) => {
      const start = rough - this.before;
      for (let i = 0; i < this.#band.length; i++) this.#band[i] = x[start + i];
      for (const section of sections) filterSettled(section, this.#band);
      this.#addCost(this.#energies[b]);
    });
    const last = cost.length - 1 - this.#least;
    let k = this.#least;
    for (let i = k; i <= last; i++) if (cost[i] < cost[k]) k = i;
    const fraction = k > this.#least && k < last ? vertex(cost[k - 1], cost[k], cost[k + 1]) : 0;
    return { index: rough - this.before + this.#settling + k + fraction, riseDb: this.#riseAt(k) };
  }

  #addCost(energy: Float64Array): void {
    const cost = this.#cost,
      n = energy.length - 1;
    for (let i = 0; i < n; i++) {
      const x = this.#band[this.#settling + i];
      energy[i + 1] = energy[i] + x * x;
    }
    let peak = 0;
    for (let i = this.#peak; i <= n; i++) peak = Math.max(peak, energy[i] - energy[i - this.#peak]);
    const floor = (FLOOR * peak) / this.#peak + SILENCE;
    for (let k = this.#least; k <= n - this.#least; k++) {
      cost[k] += k * log(energy[k] / k + floor) + (n - k) * log((energy[n] - energy[k]) / (n - k) + floor);
    }
  }

  #riseAt(k: number): number {
    const end = Math.min(k + this.#risen, this.#cost.length - 1);
    const rises = this.#energies.map((energy) => {
      const after = (energy[end] - energy[k]) / (end - k);
      return 10 * log10((after + SILENCE) / (energy[k] / k + SILENCE));
    });
    return rises.reduce((sum, rise) => sum + rise, 0) / rises.length;
  }
}

/** The sections of each band that the sample rate has room for. */
function bandsAt(sampleRateHz: number): BiquadCoefficients[][] {
  const corners = CORNERS_HZ.filter((corner) => corner < HIGHEST * sampleRateHz);
  return corners.map((frequencyHz, b) => [
    ...(b > 0 ? [firstOrderHighpass({ sampleRateHz, frequencyHz: corners[b - 1] })] : []),
    firstOrderLowpass({ sampleRateHz, frequencyHz }),
  ]);
}

/** Filters in place by a first-order section, as if the first sample had been there for ever. */
function filterSettled({ b0, b1, a1 }: BiquadCoefficients, x: Float64Array): void {
  let before = x[0];
  let y = (x[0] * (b0 + b1)) / (1 + a1);
  for (let i = 0; i < x.length; i++) {
    y = b0 * x[i] + b1 * before - a1 * y;
    before = x[i];
    x[i] = y;
  }
}

/** Offset of the lowest point of the parabola through three values, of which the middle one is the least. */
function vertex(left: number, middle: number, right: number): number {
  const curvature = left - 2 * middle + right;
  return curvature > 0 ? (left - right) / (2 * curvature) : 0;
}
