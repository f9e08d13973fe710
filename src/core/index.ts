/**
 * Core: the contract of all processors, the processors that only move and scale samples, and what the rest stands on.
 *
 * @module
 */
export { Bypass, type BypassOptions, bypassParameters } from './bypass.ts';
export { Chain, type ChainKey, type ChainOptions } from './chain.ts';
export { dbToGain, gainToDb } from './decibels.ts';
export { DelayLine } from './delay-line.ts';
export { Delay, type DelayOptions, delayParameters } from './delay.ts';
export { ComplexFft, RealFft } from './fft.ts';
export { Gain, type GainOptions, gainParameters } from './gain.ts';
export type { JsonSchema } from './json-check.ts';
export { MidSide, type MidSideOptions, midSideParameters } from './mid-side.ts';
export type {
  ChoiceRow,
  NumberRow,
  ParameterOptions,
  ParameterRow,
  ParameterTable,
  ParameterValue,
  ParameterValues,
  SwitchRow,
} from './parameters.ts';
export { Polarity, type PolarityOptions, polarityParameters } from './polarity.ts';
export { ParameterShell } from './parameter-shell.ts';
export type { Channels, Part, Processor, Side, StreamFormat, Trace, WaitingSet } from './processor.ts';
export { Random } from './random.ts';
export { type Samples, type SampleSource, sourceOf } from './sample-source.ts';
export { restoreState, type SavedSettings, type SavedState, saveState } from './saved-state.ts';
export { Shell } from './shell.ts';
export type {
  CurveInPlace,
  OversamplingStages,
  SectionRunner,
  SimdCompressor,
  SimdKernels,
  SimdRows,
  TankDelays,
  TankLoops,
  TankMemory,
} from './simd-kernels.ts';
export { SlidingMinimum } from './sliding-minimum.ts';
export { timeConstantFromNinety, timeConstantFromRise } from './smoothing.ts';
export { positionOfValue, valueAtPosition } from './taper.ts';
export { type FrequencyBand, type ThirdOctaveBand, thirdOctaveBands } from './third-octaves.ts';
export {
  besselI0,
  blackman,
  blackmanHarris,
  flatTop,
  hamming,
  hann,
  kaiser,
  rectangular,
  triangular,
  type WindowOptions,
} from './windows.ts';
