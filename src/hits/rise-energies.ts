/**
 * How much energy a moment adds to a microphone, by octaves: what two microphones have to compare when both hear a hit.
 *
 *            before          gap         the loudest of four frames
 *     |----- frame -----|           |----- frame -----|
 *                            t          |----- frame -----| ...
 *
 *     E_b = max over the frames of P_b - P_b before,    at least 1 % of the former
 *
 * The gap of 4 ms and the spread of the frames let a sound reach microphones up to 1.4 m apart within the same measurement.
 *
 * @module
 */
import { load } from '../core/pieces.ts';
import type { SampleSource } from '../core/sample-source.ts';
import { BandPowers, frameSizeAt } from './band-powers.ts';

const HIGHEST_HZ = 12000;
const NYQUIST_SHARE = 0.49;
const GAP = 0.4; // of a frame
const STARTS = [-0.25, 0, 0.25, 0.5]; // of the frames, in frames
const LEAST = 0.01;
const SILENCE = 1e-20; // (-200 dBFS)^2

/** Measures moments of sources. */
export class RiseEnergies {
  readonly #lowestHz: number; // where the first octave begins
  readonly #powers: BandPowers;
  readonly #samples: Float64Array;
  readonly #before: Float64Array;
  readonly #power: Float64Array;

  constructor(sampleRateHz: number) {
    const size = frameSizeAt(sampleRateHz);
    this.#lowestHz = sampleRateHz / size;
    this.#powers = new BandPowers(sampleRateHz, this.#lowestHz, Math.min(HIGHEST_HZ, NYQUIST_SHARE * sampleRateHz), 1);
    this.#samples = new Float64Array(Math.ceil((1 + GAP + 0.5 + 1) * size) + 1);
    this.#before = new Float64Array(this.#powers.count);
    this.#power = new Float64Array(this.#powers.count);
  }

  /** Indices of the octaves that reach into a band; the highest one if none does. */
  octavesWithin(lowHz: number, highHz: number): number[] {
    const octaves = Array.from({ length: this.#powers.count }, (_, octave) => octave);
    const beginsHz = (octave: number) => this.#lowestHz * (1 << octave);
    const within = octaves.filter((octave) => beginsHz(octave) < highHz && beginsHz(octave + 1) > lowHz);
    return within.length > 0 ? within : octaves.slice(-1);
  }

  /** Energies that `sample` adds to the source, by octave; above 0. */
  measure(source: SampleSource, sample: number): Float64Array {
    const size = this.#powers.frameSize;
    const x = this.#samples;
    const lead = Math.round((1 + GAP) * size);
    source.read(Math.round(sample) - lead, x);
    load(x, 0, x.length, x, false);
    removeMean(x);
    this.#powers.measure(x, 0, this.#before);
    const energies = new Float64Array(this.#powers.count);
    for (const start of STARTS) {
      this.#powers.measure(x, lead + Math.round(start * size), this.#power);
      for (let b = 0; b < energies.length; b++) energies[b] = Math.max(energies[b], this.#power[b]);
    }
    return energies.map((after, b) => Math.max(after - this.#before[b], LEAST * after, SILENCE));
  }
}

/** An offset would leak into the lowest octave. */
function removeMean(x: Float64Array): void {
  const mean = x.reduce((sum, value) => sum + value, 0) / x.length;
  for (let i = 0; i < x.length; i++) x[i] -= mean;
}
