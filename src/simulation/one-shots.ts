/**
 * Recorded strokes in place of the voices: the layer whose velocity is nearest to the stroke's.
 *
 * @module
 */
import { requireRange } from '../core/check.ts';
import { type DrumName, drumNames, type StrokeName } from './names.ts';
import { requireKnown } from './require-known.ts';

/** One recorded stroke, at the sample rate of the simulation, its blow at the first sample. */
export interface OneShot {
  /** Velocity at which it was played, 0 to 1. */
  readonly velocity: number;
  /** One channel of samples. */
  readonly samples: Float64Array;
  /** What was played; `'normal'` unless given. */
  readonly stroke?: StrokeName;
}

/** Recorded strokes by drum; drums that are left out keep their voice. */
export type OneShots = Readonly<Partial<Record<DrumName, readonly OneShot[]>>>;

/** The recording for a stroke: the nearest velocity among those of the same kind, or among all if there are none. */
export function pickOneShot(layers: readonly OneShot[], stroke: StrokeName, velocity: number): Float64Array {
  const same = layers.filter((layer) => (layer.stroke ?? 'normal') === stroke);
  const candidates = same.length > 0 ? same : layers;
  const distance = (layer: OneShot) => Math.abs(layer.velocity - velocity);
  return candidates.reduce((best, layer) => (distance(layer) < distance(best) ? layer : best)).samples;
}

/** @throws TypeError for an unknown drum or no samples, RangeError for a velocity or sample that makes no sense. */
export function requireOneShots(oneShots: OneShots): void {
  for (const drum of Object.keys(oneShots)) {
    requireKnown(`simulateKit: oneShots.${drum}`, drum, drumNames);
    const layers = oneShots[drum as DrumName];
    if (!Array.isArray(layers) || layers.length === 0) {
      throw new TypeError(`simulateKit: oneShots.${drum} must be an array of at least one recording`);
    }
    layers.forEach((layer: OneShot, i) => requireOneShot(`simulateKit: oneShots.${drum}[${i}]`, layer));
  }
}

function requireOneShot(name: string, layer: OneShot): void {
  requireRange(`${name}.velocity`, layer.velocity, 0, 1);
  if (!(layer.samples instanceof Float64Array)) throw new TypeError(`${name}.samples must be a Float64Array`);
  const peak = layer.samples.reduce((most, sample) => Math.max(most, Math.abs(sample)), 0);
  if (!(peak > 0 && peak < Infinity)) throw new RangeError(`${name}.samples must be finite and not silent`);
}
