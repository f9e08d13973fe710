/**
 * Dynamics: blocks that turn a signal up or down by its own level or by that of another, and the curves and detectors
 * that they are made of.
 *
 * @module
 */
export { Compressor, type CompressorOptions, compressorParameters } from './compressor.ts';
export { DynamicBand, type DynamicBandOptions, dynamicBandParameters } from './dynamic-band.ts';
export type { DynamicsParts } from './dynamics-shell.ts';
export { EnvelopeFollower, type EnvelopeFollowerOptions, envelopeFollowerParameters } from './envelope-follower.ts';
export { Expander, type ExpanderOptions, expanderParameters } from './expander.ts';
export { Gate, type GateOptions, gateParameters } from './gate.ts';
export { Limiter, type LimiterOptions, limiterParameters } from './limiter.ts';
export {
  type CurveOptions,
  expansionCurve,
  type ExpansionOptions,
  staticCurve,
  staticGain,
  upwardCurve,
} from './static-curve.ts';
export { TransientShaper, type TransientShaperOptions, transientShaperParameters } from './transient-shaper.ts';
export { UpwardCompressor, type UpwardCompressorOptions, upwardCompressorParameters } from './upward-compressor.ts';
