/**
 * A and C weighting: how far sound level meters turn down what the ear hears less of.
 *
 *     R_C(f) = f4^2 f^2 / ((f^2 + f1^2)(f^2 + f4^2))
 *     R_A(f) = R_C(f) f^2 / sqrt((f^2 + f2^2)(f^2 + f3^2))            weighting = 20 lg( R(f) / R(1000 Hz) ) dB
 *
 * Source: IEC 61672-1:2013, Annex E, for the form and the four frequencies (from memory).
 *
 * @module
 */
import { requireRange } from '../core/check.ts';
import { gainToDb } from '../core/decibels.ts';

const F1_HZ = 20.598997;
const F2_HZ = 107.65265;
const F3_HZ = 737.86223;
const F4_HZ = 12194.217;
const REFERENCE_HZ = 1000;

/** A-weighting in dB at a frequency above 0: 0 at 1 kHz, -19 at 100 Hz. @throws RangeError for any other */
export function aWeightingDb(frequencyHz: number): number {
  requireFrequency('aWeightingDb', frequencyHz);
  return gainToDb(aResponse(frequencyHz) / aResponse(REFERENCE_HZ));
}

/** C-weighting in dB at a frequency above 0: nearly flat between 100 Hz and 4 kHz. @throws RangeError for any other */
export function cWeightingDb(frequencyHz: number): number {
  requireFrequency('cWeightingDb', frequencyHz);
  return gainToDb(cResponse(frequencyHz) / cResponse(REFERENCE_HZ));
}

function requireFrequency(owner: string, frequencyHz: number): void {
  requireRange(`${owner}: frequencyHz`, frequencyHz, 1e-3, 1e6);
}

function cResponse(f: number): number {
  const square = f * f;
  return (F4_HZ * F4_HZ * square) / ((square + F1_HZ * F1_HZ) * (square + F4_HZ * F4_HZ));
}

function aResponse(f: number): number {
  const square = f * f;
  return (cResponse(f) * square) / Math.sqrt((square + F2_HZ * F2_HZ) * (square + F3_HZ * F3_HZ));
}
