/**
 * Saturation: clippers and their curves.
 * @module
 */
export { cubicClip, hardClip, tanhClip } from './curves.ts';
export { HardClipper, type HardClipperOptions, hardClipperParameters } from './hard-clipper.ts';
export { SoftClipper, type SoftClipperOptions, softClipperParameters } from './soft-clipper.ts';
