/**
 * Low end of a reverberation: how much energy below 150 Hz a bus adds to what else its destination hears, the dry kit.
 *
 *     bus with a reverb ---> low-pass ---> energy B                 relative level = 10 lg(B / D)
 *     all else at its destination ---> low-pass ---> energy D
 *
 * Both are heard behind fader and pan, at the time at which they meet, over the whole mix.
 *
 * @module
 */
import { log10 } from '../core/maths.ts';
import { BiquadCascade } from '../filters/biquad-cascade.ts';
import { butterworthLowpass } from '../filters/butterworth.ts';

/** Where the low end ends. */
export const LOW_END_HZ = 150;

/** Order of the Butterworth low-pass that parts it from the rest. */
const ORDER = 4;

/** Measures the low end of a bus against that of everything else at its destination. */
export class LowEnd {
  /** What the bus sends to its destination, a chunk long: left and right. */
  readonly own: readonly Float64Array[];
  /** Path of the destination. */
  readonly to: string;
  readonly #sum: readonly Float64Array[];
  readonly #work: readonly Float64Array[];
  readonly #ownLow: BiquadCascade;
  readonly #othersLow: BiquadCascade;
  readonly #ownEnergies = [0, 0]; // of left and right, summed in the order of the samples, however they are cut
  readonly #othersEnergies = [0, 0];
  readonly #side = { end: 0, trusted: true };

  /** @param sum - what the destination hears, a chunk long: left and right */
  constructor(to: string, sum: readonly Float64Array[], sampleRateHz: number) {
    const sections = butterworthLowpass({ sampleRateHz, frequencyHz: LOW_END_HZ, order: ORDER });
    const format = { sampleRateHz, channels: 2 };
    this.to = to;
    this.#sum = sum;
    this.own = sum.map((x) => new Float64Array(x.length));
    this.#work = sum.map((x) => new Float64Array(x.length));
    this.#ownLow = new BiquadCascade(format, sections);
    this.#othersLow = new BiquadCascade(format, sections);
  }

  /** Level of the bus relative to the others, below 150 Hz, so far; null where either is silent. */
  get relativeDb(): number | null {
    const own = this.#ownEnergies[0] + this.#ownEnergies[1],
      others = this.#othersEnergies[0] + this.#othersEnergies[1];
    return own > 0 && others > 0 ? 10 * log10(own / others) : null;
  }

  /** Before the bus runs. */
  clear(frames: number): void {
    for (const x of this.own) x.fill(0, 0, frames);
  }

  /** Hands what the bus has sent on to its destination. */
  passOn(frames: number): void {
    for (let c = 0; c < 2; c++) {
      const x = this.own[c],
        y = this.#sum[c];
      for (let i = 0; i < frames; i++) y[i] += x[i];
    }
  }

  /** Measures a chunk, when all that the destination hears is there. */
  measure(frames: number): void {
    for (let c = 0; c < 2; c++) {
      const others = this.#work[c],
        sum = this.#sum[c],
        own = this.own[c];
      for (let i = 0; i < frames; i++) others[i] = sum[i] - own[i];
    }
    this.#addEnergies(this.#othersLow, this.#work, frames, this.#othersEnergies);
    this.#addEnergies(this.#ownLow, this.own, frames, this.#ownEnergies);
  }

  #addEnergies(filter: BiquadCascade, signal: readonly Float64Array[], frames: number, energies: number[]): void {
    this.#side.end = frames;
    filter.process(signal, this.#work, this.#side);
    for (let c = 0; c < 2; c++) {
      const y = this.#work[c];
      let energy = energies[c];
      for (let i = 0; i < frames; i++) energy += y[i] * y[i];
      energies[c] = energy;
    }
  }
}
