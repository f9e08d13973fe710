/**
 * Filters: designs as pure functions to coefficients, and the processors that run them.
 *
 * @module
 */
export { BandSplit, type BandSplitOptions, bandSplitParameters } from './band-split.ts';
export { BiquadCascade } from './biquad-cascade.ts';
export type { BiquadCoefficients, CornerOptions, ResonanceOptions } from './biquad-coefficients.ts';
export {
  allpass,
  bandpass,
  bandpassConstantSkirt,
  highpass,
  lowpass,
  notch,
  peaking,
  type PeakingOptions,
} from './biquad-design.ts';
export { butterworthHighpass, butterworthLowpass, type ButterworthOptions } from './butterworth.ts';
export { type Crossover, linkwitzRiley, type LinkwitzRileyOptions } from './crossover.ts';
export { DcBlocker, type DcBlockerOptions, dcBlockerParameters } from './dc-blocker.ts';
export {
  type EqualiserBandOptions,
  equaliserBandParameters,
  type EqualiserBandType,
  type EqualiserBandValues,
} from './equaliser-bands.ts';
export { Equaliser, type EqualiserOptions, equaliserParameters, type EqualiserTable } from './equaliser.ts';
export { firResponse } from './fir-response.ts';
export {
  firstOrderAllpass,
  firstOrderHighpass,
  firstOrderHighShelf,
  firstOrderLowpass,
  firstOrderLowShelf,
  type FirstOrderShelfOptions,
} from './first-order-design.ts';
export { FractionalDelay, type FractionalDelayOptions, fractionalDelayParameters } from './fractional-delay.ts';
export { FractionalShift } from './fractional-shift.ts';
export {
  halfBandTaps,
  kaiserBeta,
  kaiserOrder,
  type KernelOptions,
  lowpassTaps,
  type LowpassTapsOptions,
  windowedSinc,
} from './kaiser-design.ts';
export { MonoBelow, type MonoBelowOptions, monoBelowParameters } from './mono-below.ts';
export { Oversampler, type OversamplingFactor } from './oversampler.ts';
export { PhaseRotator, type PhaseRotatorOptions, phaseRotatorParameters } from './phase-rotator.ts';
export { resample, Resampler, type ResamplerOptions } from './resampler.ts';
export { type FrequencyResponse, frequencyResponse, type ResponseOptions } from './response.ts';
export { highShelf, lowShelf, type ShelfOptions } from './shelf-design.ts';
