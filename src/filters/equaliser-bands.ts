/**
 * What a band of the equaliser can be: its parameters, and the sections that make it.
 *
 * @module
 */
import type { ParameterOptions, ParameterTable, ParameterValues } from '../core/parameters.ts';
import type { BiquadCoefficients } from './biquad-coefficients.ts';
import { allpass, bandpass, bandpassConstantSkirt, highpass, lowpass, notch, peaking } from './biquad-design.ts';
import { butterworthHighpass, butterworthLowpass } from './butterworth.ts';
import {
  firstOrderHighpass,
  firstOrderHighShelf,
  firstOrderLowpass,
  firstOrderLowShelf,
} from './first-order-design.ts';
import { highShelf, lowShelf } from './shelf-design.ts';

/** Parameters of each band of an {@link Equaliser}. Those that a type has no use for do nothing. */
export const equaliserBandParameters = {
  /** What the band does: the design function of that name. */
  type: {
    default: 'peaking',
    choices: [
      'peaking',
      'lowShelf',
      'highShelf',
      'lowpass',
      'highpass',
      'bandpass',
      'bandpassConstantSkirt',
      'notch',
      'allpass',
      'firstOrderLowpass',
      'firstOrderHighpass',
      'firstOrderLowShelf',
      'firstOrderHighShelf',
    ],
    fixed: true,
  },
  /** Corner or centre. */
  frequencyHz: { default: 1000, min: 10, max: 'nyquist', taper: 'log' },
  /** Quality factor: the narrower the band, the higher. For types of second order. */
  q: { default: 0.7071067811865476, min: 0.1, max: 40, taper: 'log' },
  /** Gain of a bell or a shelf. */
  gainDb: { default: 0, min: -36, max: 36 },
  /** Order of a `lowpass` or `highpass`: 6 dB/octave each. Other than 2, the filter is a Butterworth one and `q` does nothing. */
  order: { default: 2, min: 1, max: 16, integer: true, fixed: true },
} as const satisfies ParameterTable;

/** Options of one band of an {@link Equaliser}; {@link equaliserBandParameters} gives defaults, ranges and units. */
export type EqualiserBandOptions = ParameterOptions<typeof equaliserBandParameters>;
/** The same, every value given. */
export type EqualiserBandValues = ParameterValues<typeof equaliserBandParameters>;
/** What a band does. */
export type EqualiserBandType = EqualiserBandValues['type'];

/** @throws RangeError for an order other than 2 of a type that has none */
export function requireOrderFits(prefix: string, { type, order }: EqualiserBandValues): void {
  if (order !== 2 && type !== 'lowpass' && type !== 'highpass') {
    throw new RangeError(`${prefix}order must be 2 for the type ${type}, got ${order}`);
  }
}

/** How many sections a band takes. */
export function bandSections(order: number): number {
  return Math.ceil(order / 2);
}

/** The sections of a band. */
export function designBand(
  { type, frequencyHz, q, gainDb, order }: EqualiserBandValues,
  sampleRateHz: number,
): readonly BiquadCoefficients[] {
  const corner = { sampleRateHz, frequencyHz };
  if (order !== 2) {
    return type === 'lowpass' ? butterworthLowpass({ ...corner, order }) : butterworthHighpass({ ...corner, order });
  }
  switch (type) {
    case 'peaking':
      return [peaking({ ...corner, q, gainDb })];
    case 'lowShelf':
      return [lowShelf({ ...corner, q, gainDb })];
    case 'highShelf':
      return [highShelf({ ...corner, q, gainDb })];
    case 'lowpass':
      return [lowpass({ ...corner, q })];
    case 'highpass':
      return [highpass({ ...corner, q })];
    case 'bandpass':
      return [bandpass({ ...corner, q })];
    case 'bandpassConstantSkirt':
      return [bandpassConstantSkirt({ ...corner, q })];
    case 'notch':
      return [notch({ ...corner, q })];
    case 'allpass':
      return [allpass({ ...corner, q })];
    case 'firstOrderLowpass':
      return [firstOrderLowpass(corner)];
    case 'firstOrderHighpass':
      return [firstOrderHighpass(corner)];
    case 'firstOrderLowShelf':
      return [firstOrderLowShelf({ ...corner, gainDb })];
    case 'firstOrderHighShelf':
      return [firstOrderHighShelf({ ...corner, gainDb })];
  }
}
