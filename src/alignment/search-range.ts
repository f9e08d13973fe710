/**
 * How far apart two microphones may hear one sound: the range of delays that is searched.
 *
 *     delay = distance / c,     c = 331.3 sqrt(1 + T / 273.15) m/s      (ideal gas, dry air, T in degrees Celsius)
 *
 * Everything that repeats, such as a ringing drum, correlates again one period later; a range no wider than the kit
 * keeps such peaks out. The simulator has this formula for itself, because it judges what is found here.
 *
 * @module
 */
import { requireRange } from '../core/check.ts';

/** A range of delays, as a time or as a way through air. */
export interface SearchRange {
  /** Largest delay either way, 0.1 to 100. Give this or a distance. */
  readonly maxDelayMs?: number | undefined;
  /** Largest way that the sound goes further to one microphone than to the other, 0.05 to 30; 3 unless given. */
  readonly maxDistanceMetres?: number | undefined;
  /** Temperature of the air, -30 to 60; 20 unless given. */
  readonly temperatureC?: number | undefined;
}

const DISTANCE_METRES = 3; // across a kit: from the kick to an overhead it is 2
const TEMPERATURE_C = 20;

/**
 * The range in whole samples, at least 1.
 *
 * @throws RangeError for a value out of range, or for a time and a distance together
 */
export function searchRangeSamples(owner: string, range: SearchRange, sampleRateHz: number): number {
  const { maxDelayMs, maxDistanceMetres, temperatureC = TEMPERATURE_C } = range;
  requireRange(`${owner}: temperatureC`, temperatureC, -30, 60);
  if (maxDelayMs !== undefined && maxDistanceMetres !== undefined)
    throw new RangeError(`${owner}: give maxDelayMs or maxDistanceMetres, not both`);
  if (maxDelayMs !== undefined)
    return Math.ceil((requireRange(`${owner}: maxDelayMs`, maxDelayMs, 0.1, 100) / 1000) * sampleRateHz);
  const metres = maxDistanceMetres ?? DISTANCE_METRES;
  return Math.ceil(
    (requireRange(`${owner}: maxDistanceMetres`, metres, 0.05, 30) / speed(temperatureC)) * sampleRateHz,
  );
}

function speed(temperatureC: number): number {
  return 331.3 * Math.sqrt(1 + temperatureC / 273.15);
}
