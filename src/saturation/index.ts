/**
 * Saturation: clippers, saturator, hysteresis, their curves, and what can be read of them.
 * @module
 */
export { antiderivativeForm } from './antiderivative-form.ts';
export type { ClippingCurve, Corner, CurveIntegrals } from './clipping-curve.ts';
export { cubicCurve, hardCurve, tanhCurve } from './curve-integrals.ts';
export { cubicClip, hardClip, tanhClip } from './curves.ts';
export {
  type HarmonicsOptions,
  type IntermodulationOptions,
  type IntermodulationShares,
  measureHarmonics,
  measureIntermodulation,
  type Nonlinearity,
  totalHarmonicDistortion,
} from './distortion.ts';
export { HardClipper, type HardClipperOptions, hardClipperParameters } from './hard-clipper.ts';
export { Hysteresis, type HysteresisOptions, hysteresisParameters } from './hysteresis.ts';
export { langevin, langevinSlope } from './langevin.ts';
export { magnetise, type Material } from './magnetisation.ts';
export { type SaturationCurve, type SaturationCurveName, saturationCurves } from './saturation-curves.ts';
export { Saturator, type SaturatorOptions, saturatorParameters } from './saturator.ts';
export { SoftClipper, type SoftClipperOptions, softClipperParameters } from './soft-clipper.ts';
