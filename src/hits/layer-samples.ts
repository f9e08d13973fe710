/**
 * Samples for layering: recorded strokes of one drum, grouped by how hard they were struck, and which of them a hit gets.
 *
 *     hit --> layer of the nearest velocity --> one of its samples, by chance, but never the one that it played last
 *
 * A layer with a single sample has no choice. Chance is seeded: the same hits get the same samples again.
 *
 * @module
 */
import { refuse, requireRange } from '../core/check.ts';
import { Random } from '../core/random.ts';

/** Recorded strokes of one force. */
export interface VelocityLayer {
  /** How hard they were struck, 0 to 127, on the scale of `Hit.velocity`. */
  readonly velocity: number;
  /** Each at the sample rate of the recording, one channel, the blow near its start. */
  readonly samples: readonly Float64Array[];
}

/** How far below its peak a sample has its first rise. */
const ONSET_SHARE = 0.1; // -20 dB

/** @throws TypeError or RangeError, with the place, for layers without samples, or samples that are silent or not finite */
export function requireLayers(owner: string, layers: readonly VelocityLayer[]): void {
  if (!Array.isArray(layers) || layers.length === 0) refuse(`${owner}: layers`, 'a list of layers', layers, TypeError);
  layers.forEach((layer: VelocityLayer, l) => {
    const path = `${owner}: layers[${l}]`;
    requireRange(`${path}.velocity`, layer.velocity, 0, 127);
    if (!Array.isArray(layer.samples) || layer.samples.length === 0) {
      throw new TypeError(`${path}.samples must be a list of samples`);
    }
    layer.samples.forEach((samples, s) => {
      if (!(samples instanceof Float64Array)) throw new TypeError(`${path}.samples[${s}] must be a Float64Array`);
      const peak = peakOf(samples);
      if (!(peak > 0 && peak < Infinity)) throw new RangeError(`${path}.samples[${s}] must be finite and not silent`);
    });
  });
}

/** Largest magnitude; Infinity if there is a sample that is no number. */
export function peakOf(samples: Float64Array): number {
  let peak = 0;
  for (const x of samples) if (!(Math.abs(x) <= peak)) peak = Number.isNaN(x) ? Infinity : Math.abs(x);
  return peak;
}

/** Index of the first sample that reaches a tenth of the peak: where the blow is heard. */
export function onsetOf(samples: Float64Array): number {
  const level = ONSET_SHARE * peakOf(samples);
  return samples.findIndex((x) => Math.abs(x) >= level);
}

/** Chooses a sample for one hit after the other. */
export class RoundRobin {
  readonly #layers: readonly VelocityLayer[];
  readonly #random: Random;
  readonly #last: number[]; // of each layer, the sample played last, or -1

  constructor(layers: readonly VelocityLayer[], seed: number) {
    this.#layers = layers;
    this.#random = new Random(seed);
    this.#last = layers.map(() => -1);
  }

  /** The layer and the sample, by their indices, for a hit of this velocity. */
  next(velocity: number): { readonly layer: number; readonly sample: number } {
    const layers = this.#layers;
    const distance = (l: number) => Math.abs(layers[l].velocity - velocity);
    const layer = layers.reduce((best, _, l) => (distance(l) < distance(best) ? l : best), 0);
    const count = layers[layer].samples.length,
      last = this.#last[layer];
    const free = last < 0 || count === 1 ? count : count - 1;
    const drawn = Math.floor(this.#random.next() * free);
    const sample = free < count && drawn >= last ? drawn + 1 : drawn;
    this.#last[layer] = sample;
    return { layer, sample };
  }
}
