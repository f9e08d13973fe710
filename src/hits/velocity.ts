/**
 * Velocity: how hard a hit was, from its level in dB to the scale of MIDI and back.
 *
 *     amplitude = (m v + b)^2,     b = 127 / (126 sqrt r) - 1 / 126,     m = (1 - b) / 127
 *
 * r is the ratio of amplitudes between v = 127 and v = 1, here given in dB; amplitude 1 belongs to v = 127. No standard
 * says how the two belong together; the square law is what was found in most of the instruments measured.
 *
 * Source: R. B. Dannenberg, "The Interpretation of MIDI Velocity", Proc. ICMC 2006, pp. 193-196.
 *
 * @module
 */
import { dbToGain, gainToDb } from '../core/decibels.ts';
import { type ParameterOptions, type ParameterTable, resolveParameters } from '../core/parameters.ts';
import { requireRange } from '../core/check.ts';

/** Parameters of the curve from decibels to 0-127. */
export const velocityCurveParameters = {
  /** Level that becomes velocity 127. */
  loudestDb: { default: 0, min: -120, max: 60 },
  /** Distance in level from velocity 1 to velocity 127; beyond 84 dB b would be negative, and the curve turn back. */
  rangeDb: { default: 60, min: 6, max: 84 },
} as const satisfies ParameterTable;

/** Options of the velocity curve; {@link velocityCurveParameters} gives defaults, ranges and units. */
export type VelocityCurveOptions = ParameterOptions<typeof velocityCurveParameters>;

const HIGHEST = 127;

/** Velocity of a level, 0 to 127, fractional; what is beyond the scale becomes its end. */
export function velocityOfDb(levelDb: number, options: VelocityCurveOptions = {}): number {
  const { loudestDb, b, m } = curve('velocityOfDb', options);
  const velocity = (Math.sqrt(dbToGain(levelDb - loudestDb)) - b) / m;
  return Math.min(HIGHEST, Math.max(0, velocity));
}

/** Level in dB of a velocity from 0 to 127. */
export function dbOfVelocity(velocity: number, options: VelocityCurveOptions = {}): number {
  const { loudestDb, b, m } = curve('dbOfVelocity', options);
  const root = m * requireRange('dbOfVelocity: velocity', velocity, 0, HIGHEST) + b;
  return loudestDb + 2 * gainToDb(root);
}

function curve(owner: string, options: VelocityCurveOptions): { loudestDb: number; b: number; m: number } {
  const { loudestDb, rangeDb } = resolveParameters(`${owner}: `, velocityCurveParameters, options, 48000);
  const b = HIGHEST / ((HIGHEST - 1) * Math.sqrt(dbToGain(rangeDb))) - 1 / (HIGHEST - 1);
  return { loudestDb, b, m: (1 - b) / HIGHEST };
}
