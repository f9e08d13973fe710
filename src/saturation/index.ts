/**
 * Saturation: clippers and their curves.
 * @module
 */
export { antiderivativeForm } from './antiderivative-form.ts';
export type { ClippingCurve, Corner, CurveIntegrals } from './clipping-curve.ts';
export { cubicCurve, hardCurve, tanhCurve } from './curve-integrals.ts';
export { cubicClip, hardClip, tanhClip } from './curves.ts';
export { HardClipper, type HardClipperOptions, hardClipperParameters } from './hard-clipper.ts';
export { SoftClipper, type SoftClipperOptions, softClipperParameters } from './soft-clipper.ts';
