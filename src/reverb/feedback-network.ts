/**
 * Feedback delay network: 8 or 16 delay lines that feed each other through a matrix which keeps their energy.
 *
 *     inputs --> + --> z^-M0 --> absorption --> +---------+ --> outputs (one per channel)
 *                + --> z^-M1 --> absorption --> |Hadamard |
 *                ^        ...                   +---------+
 *                |                                   |
 *                +------------ rotation <------------+
 *
 * Without absorption the energy in the lines stays for ever; each line's filter then takes what its length must lose at
 * every frequency, so that all resonances of a band decay alike. Each channel feeds lines of its own, neighbours, and hears
 * all lines through a row of the matrix of its own; any two rows differ in half of the signs of any neighbours. So every way
 * from channel to channel is another, and tails of different channels have nothing in common.
 *
 * Source: J.-M. Jot, A. Chaigne, "Digital Delay Networks for Designing Artificial Reverberators", AES 90th Convention,
 * 1991, preprint 3030. Inputs and outputs are ours.
 *
 * @module
 */
import { requireInteger } from '../core/check.ts';
import { BLOCK } from '../core/pieces.ts';
import type { Part } from '../core/processor.ts';
import { combGain } from './absorption.ts';
import { absorb, ABSORPTION_PAST } from './absorption-kernel.ts';
import { mixByHadamard } from './hadamard.ts';
import { LineRotation } from './line-rotation.ts';
import { ABSORPTION_CONSTANTS, DECAY_BANDS, OctaveAbsorption } from './octave-absorption.ts';

/** What {@link FeedbackNetwork.design} takes. */
export interface NetworkSettings {
  /** Times in which the octave bands from 125 Hz to 8 kHz fall by 60 dB; Infinity for a network that keeps its energy. */
  readonly decaysSeconds: readonly number[];
  /** Largest turn of the rotation, 0 to 90 degrees by 0 to 1; 0 stands still. */
  readonly modulationDepth: number;
  /** Turns back and forth per second. */
  readonly modulationHz: number;
}

const MODULATION = 1; // place of depth and rate among the constants
const FILTERS = 3; // place of the first line's filter

/** Delay lines, their filters and the matrix between them. */
export class FeedbackNetwork implements Part {
  /** Every number that is remembered between calls, as `saveState` takes it. */
  readonly state: readonly Float64Array[];
  /** How many numbers `design` returns. */
  readonly constants: number;
  readonly #channels: number;
  readonly #rings: readonly Float64Array[];
  readonly #pasts: readonly Float64Array[];
  readonly #places: Float64Array;
  readonly #shortest: number;
  readonly #seconds: readonly number[];
  readonly #absorption: OctaveAbsorption;
  readonly #rotation: LineRotation;
  readonly #lines: readonly Float64Array[];
  readonly #sources: readonly number[];
  readonly #inputs: Float64Array;

  /**
   * @param delaysSamples - M of 8 or 16 lines, whole numbers
   * @param channels - of the signals, at most as many as lines
   */
  constructor(delaysSamples: readonly number[], channels: number, sampleRateHz: number) {
    const lines = delaysSamples.length;
    for (const delay of delaysSamples) requireInteger('FeedbackNetwork: delaysSamples', delay, 1, 4_000_000);
    if (lines !== 8 && lines !== 16) throw new RangeError(`FeedbackNetwork: lines must be 8 or 16, got ${lines}`);
    this.#channels = requireInteger('FeedbackNetwork: channels', channels, 1, lines);
    this.#rings = delaysSamples.map((delay) => new Float64Array(delay));
    this.#pasts = delaysSamples.map(() => new Float64Array(ABSORPTION_PAST));
    this.#places = new Float64Array(lines);
    this.#shortest = Math.min(...delaysSamples);
    this.#seconds = delaysSamples.map((delay) => delay / sampleRateHz);
    this.#absorption = new OctaveAbsorption(sampleRateHz);
    this.#rotation = new LineRotation(lines, sampleRateHz);
    this.#lines = delaysSamples.map(() => new Float64Array(BLOCK));
    this.#sources = feedingChannels(lines, channels);
    this.#inputs = inputGains(this.#sources);
    this.state = [...this.#rings, ...this.#pasts, this.#places, ...this.#rotation.state];
    this.constants = FILTERS + ABSORPTION_CONSTANTS * lines;
  }

  /** Energy of what is in the lines. */
  get energy(): number {
    return this.#rings.reduce((sum, ring) => ring.reduce((own, v) => own + v * v, sum), 0);
  }

  reset(): void {
    for (const array of [...this.#rings, ...this.#pasts, this.#places]) array.fill(0);
    this.#rotation.reset();
  }

  /**
   * The constants of `process`: level, modulation, filters of the lines. With the level, white noise that differs between
   * the channels comes out as loud as it went in, in the mean over the octave bands.
   */
  design({ decaysSeconds, modulationDepth, modulationHz }: NetworkSettings): number[] {
    const filters = this.#seconds.flatMap((delay) => this.#absorption.design(delay, decaysSeconds));
    return [this.#level(decaysSeconds), modulationDepth, modulationHz, ...filters];
  }

  /** Bound of the decay at any frequency. */
  longestDecaySeconds(decaysSeconds: readonly number[]): number {
    return this.#absorption.longestDecaySeconds(decaysSeconds);
  }

  /** Called at every multiple of 128 samples since `reset`. */
  onGrid(k: Float64Array, first: number): void {
    this.#rotation.beginBlock(k, first + MODULATION);
  }

  /**
   * Writes the reverberation of `x[c][0 .. count)` to `y[c][0 .. count)`, other arrays, with constants from index `first`
   * of `k` on. At most 128 samples, none beyond a multiple of 128 since `reset`.
   */
  process(x: readonly Float64Array[], y: readonly Float64Array[], count: number, k: Float64Array, first: number): void {
    for (let at = 0; at < count; at += this.#shortest) {
      this.#run(x, y, at, Math.min(this.#shortest, count - at), k, first);
    }
  }

  /** In place of `process` while the lines are empty and the inputs silent. */
  skip(count: number): void {
    this.#rotation.skip(count);
  }

  /** At most as many samples as the shortest line has: nothing that enters comes back within them. */
  #run(
    x: readonly Float64Array[],
    y: readonly Float64Array[],
    start: number,
    count: number,
    k: Float64Array,
    first: number,
  ): void {
    const lines = this.#lines,
      rings = this.#rings,
      places = this.#places,
      channels = this.#channels;
    for (let l = 0; l < lines.length; l++) {
      const ring = rings[l],
        place = places[l] | 0,
        filter = first + FILTERS + ABSORPTION_CONSTANTS * l;
      const run = Math.min(count, ring.length - place);
      absorb(ring, place, run, lines[l], 0, k, filter, this.#pasts[l]);
      if (run < count) absorb(ring, 0, count - run, lines[l], run, k, filter, this.#pasts[l]);
    }
    mixByHadamard(lines, count);
    for (let c = 0; c < channels; c++) copyScaled(lines[c], y[c], start, count, k, first);
    this.#rotation.process(lines, count, k, first + MODULATION);
    for (let l = 0; l < lines.length; l++) {
      const ring = rings[l],
        place = places[l] | 0;
      const run = Math.min(count, ring.length - place);
      const input = x[this.#sources[l]];
      feed(ring, place, run, lines[l], 0, input, start, this.#inputs, l);
      if (run < count) feed(ring, 0, count - run, lines[l], run, input, start + run, this.#inputs, l);
      places[l] = place + count < ring.length ? place + count : place + count - ring.length;
    }
  }

  /**
   * The mean energy of the lines' filters is q = mean |G|^2. An impulse of energy 1 leaves the lines with the energy
   * q + q^2 + ... = q / (1 - q), which the outputs share.
   */
  #level(decaysSeconds: readonly number[]): number {
    const passes = decaysSeconds.map((decay) => {
      const gains = this.#seconds.map((delay) => combGain(delay, decay));
      const kept = gains.reduce((sum, gain) => sum + gain * gain, 0) / gains.length;
      return kept / (1 - kept);
    });
    const mean = passes.reduce((sum, energy) => sum + energy, 0) / DECAY_BANDS;
    return mean === Infinity ? 1 : Math.sqrt(this.#lines.length / (this.#channels * mean));
  }
}

/** Which channel feeds each line: neighbouring lines have the same, as evenly as it goes. */
function feedingChannels(lines: number, channels: number): number[] {
  return Array.from({ length: lines }, (_, l) => Math.floor((l * channels) / lines));
}

/** Gains with which the lines are fed: of energy 1 for each channel, with the signs of the Thue-Morse sequence. */
function inputGains(sources: readonly number[]): Float64Array {
  return Float64Array.from(sources, (source, l) => {
    const odd = (l ^ (l >> 1) ^ (l >> 2) ^ (l >> 3)) & 1; // number of ones among the bits of l
    return (odd === 0 ? 1 : -1) / Math.sqrt(sources.filter((other) => other === source).length);
  });
}

function copyScaled(
  x: Float64Array,
  y: Float64Array,
  start: number,
  count: number,
  k: Float64Array,
  first: number,
): void {
  const level = k[first];
  for (let i = 0; i < count; i++) y[start + i] = level * x[i];
}

/** ring = line + gain input. */
function feed(
  ring: Float64Array,
  place: number,
  count: number,
  line: Float64Array,
  from: number,
  input: Float64Array,
  start: number,
  gains: Float64Array,
  l: number,
): void {
  const gain = gains[l];
  for (let i = 0; i < count; i++) ring[place + i] = line[from + i] + gain * input[start + i];
}
