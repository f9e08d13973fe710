/**
 * Integrated loudness: how loud a programme is as a whole, its pauses left out.
 *
 *     z_i = mean square of channel i, K-weighted, over 400 ms blocks every 100 ms
 *     l   = -0.691 + 10 lg( sum over i of G_i z_i )                                           LUFS of a block
 *     I   = the same of the mean power of the blocks above -70 LUFS and above (their loudness - 10 LU)
 *
 * Source: Recommendation ITU-R BS.1770-5 (11/2023), Annex 1. A block whose 400 ms are not complete does not count.
 *
 * @module
 */
import { log10, pow } from '../core/maths.ts';
import { BLOCK, load, requireFormat, requireShape, scratch } from '../core/pieces.ts';
import { requireInteger, requireRange } from '../core/check.ts';
import type { Channels, StreamFormat } from '../core/processor.ts';
import { BiquadKernel, writeSections } from '../filters/biquad-kernel.ts';
import { kWeighting } from './k-weighting.ts';

const OFFSET_LU = -0.691; // makes a 997 Hz sine of 0 dBFS in one channel read -3.01
const ABSOLUTE_GATE_LUFS = -70;
const RELATIVE_GATE_LU = -10;
const STEPS_PER_SECOND = 10;
const STEPS_PER_BLOCK = 4;

/** Measures the loudness of a stream. Its memory holds a number for every 100 ms: 0.3 MB an hour. */
export class LoudnessMeter {
  readonly format: StreamFormat;
  readonly #weights: readonly number[];
  readonly #filter: BiquadKernel;
  readonly #x: Float64Array[];
  readonly #energies: Float64Array; // of each channel, in the step in progress
  readonly #steps = new Float64Array(STEPS_PER_BLOCK); // energies of the last 100 ms steps
  #powers = new Float64Array(1024); // of the blocks so far
  #blocks = 0;
  #step = 0; // steps finished
  #time = 0; // samples so far

  /**
   * @param weights - G_i of each channel: 1 unless given; 1.41 for surround loudspeakers, 0 for low-frequency effects
   */
  constructor(format: StreamFormat, weights: readonly number[] = []) {
    this.format = requireFormat('LoudnessMeter', format);
    const { channels, sampleRateHz } = this.format;
    if (weights.length > 0) requireInteger('LoudnessMeter: number of weights', weights.length, channels, channels);
    weights.forEach((weight, i) => requireRange(`LoudnessMeter: weights[${i}]`, weight, 0, 10));
    this.#weights = Array.from({ length: channels }, (_, c) => weights[c] ?? 1);
    this.#energies = new Float64Array(channels);
    this.#filter = new BiquadKernel(2, channels);
    writeSections(this.#filter.coefficients, kWeighting(sampleRateHz));
    this.#x = scratch(channels);
  }

  /** Takes in `channels[c][start .. end)`: all of the arrays unless given. Samples that are not finite count as 0. */
  process(channels: Channels, start = 0, end: number = channels[0]?.length ?? 0): void {
    const length = channels[0]?.length ?? 0;
    requireShape('LoudnessMeter', 'input', channels, this.format.channels, length);
    requireInteger('LoudnessMeter: end', end, 0, length);
    requireInteger('LoudnessMeter: start', start, 0, end);
    for (let at = start; at < end;) {
      const offset = this.#time % BLOCK;
      if (offset === 0) this.#filter.flush();
      const count = Math.min(BLOCK - offset, end - at, this.#stepEnd() - this.#time);
      for (let c = 0; c < this.#x.length; c++) load(channels[c], at, count, this.#x[c], false);
      this.#filter.run(this.#x, count);
      this.#add(count);
      at += count;
    }
  }

  /** Loudness of all that has been taken in, in LUFS; -Infinity if no block was above -70 LUFS. */
  get integratedLufs(): number {
    const gate = powerOf(ABSOLUTE_GATE_LUFS);
    const relative = this.#meanAbove(gate) * powerOf(RELATIVE_GATE_LU + OFFSET_LU);
    const mean = this.#meanAbove(Math.max(gate, relative));
    return mean > 0 ? OFFSET_LU + 10 * log10(mean) : -Infinity;
  }

  #stepEnd(): number {
    return Math.round(((this.#step + 1) * this.format.sampleRateHz) / STEPS_PER_SECOND);
  }

  #add(count: number): void {
    for (let c = 0; c < this.#x.length; c++) {
      const x = this.#x[c];
      let energy = this.#energies[c];
      for (let i = 0; i < count; i++) energy += x[i] * x[i];
      this.#energies[c] = energy;
    }
    this.#time += count;
    if (this.#time === this.#stepEnd()) this.#finishStep();
  }

  #finishStep(): void {
    const steps = this.#steps;
    steps[this.#step % STEPS_PER_BLOCK] = this.#weights.reduce((sum, g, c) => sum + g * this.#energies[c], 0);
    this.#energies.fill(0);
    this.#step++;
    if (this.#step < STEPS_PER_BLOCK) return;
    const begin = Math.round(((this.#step - STEPS_PER_BLOCK) * this.format.sampleRateHz) / STEPS_PER_SECOND);
    if (this.#blocks === this.#powers.length) {
      const longer = new Float64Array(2 * this.#blocks);
      longer.set(this.#powers);
      this.#powers = longer;
    }
    this.#powers[this.#blocks++] = (steps[0] + steps[1] + steps[2] + steps[3]) / (this.#time - begin);
  }

  /** Mean power of the blocks strictly above a power; 0 if there is none. */
  #meanAbove(gate: number): number {
    let sum = 0,
      count = 0;
    for (let b = 0; b < this.#blocks; b++) {
      if (this.#powers[b] <= gate) continue;
      sum += this.#powers[b];
      count++;
    }
    return count === 0 ? 0 : sum / count;
  }
}

/** Integrated loudness of a whole signal in LUFS; -Infinity if none of it is above -70 LUFS. */
export function measureLoudness(channels: Channels, sampleRateHz: number, weights?: readonly number[]): number {
  const meter = new LoudnessMeter({ sampleRateHz, channels: channels.length }, weights);
  meter.process(channels);
  return meter.integratedLufs;
}

/** The mean square of which this is the loudness. */
function powerOf(lufs: number): number {
  return pow(10, (lufs - OFFSET_LU) / 10);
}
