/**
 * What blocks cost, and what mixing costs besides: ns per frame of one channel, and of two. Measured on
 * AMD EPYC with Node 20.20.2, with the SIMD module where a block has work for it.
 *
 * Written by `npm run bench`.
 *
 * @module
 */

/** By the names under which they were measured. */
export const costTable: Readonly<Record<string, readonly [one: number, two: number]>> = {
  gain: [1.95, 3.71],
  polarity: [1.95, 3.84],
  delay: [2.23, 4.31],
  fractionalDelay: [40.8, 81.4],
  midSide: [1.78, 3.55],
  equaliser: [4.99, 7.91],
  'equaliser, 1 band': [3.06, 4.53],
  dcBlocker: [3.09, 4.5],
  bandSplit: [13.4, 20.7],
  'bandSplit, 4 bands': [35.6, 53.5],
  monoBelow: [4.78, 9.55],
  phaseRotator: [3.13, 4.83],
  gate: [3.6, 11.8],
  expander: [13.9, 20.6],
  compressor: [6.45, 8.26],
  'compressor, rms': [10.6, 17.2],
  'compressor, key filter': [11.1, 20.1],
  upwardCompressor: [12.9, 21.9],
  dynamicBand: [20.6, 31.3],
  transientShaper: [16.5, 37.2],
  limiter: [14, 23.9],
  'limiter, true peak': [35.1, 64.7],
  hardClipper: [30.9, 62.6],
  'hardClipper, 1x': [2.67, 4.88],
  'hardClipper, 2x': [10.9, 21.7],
  'hardClipper, 4x': [18.9, 37.4],
  'hardClipper, 16x': [52.9, 107],
  'hardClipper, 1x, first antiderivative': [50.2, 101],
  'hardClipper, 4x, first antiderivative': [60.7, 123],
  'hardClipper, 4x, second antiderivative': [85.9, 173],
  'hardClipper, 4x, corner correction': [76.9, 116],
  softClipper: [38.1, 75.7],
  'softClipper, 1x': [4.26, 8.33],
  'softClipper, 4x': [23.4, 47.3],
  'softClipper, 4x, cubic': [20.4, 41.4],
  'softClipper, 4x, second antiderivative': [127, 257],
  saturator: [80.5, 150],
  hysteresis: [840, 1680],
  schroederReverb: [14.6, 23.2],
  'schroederReverb, low density': [12.8, 20.4],
  'schroederReverb, high density': [15.9, 26.3],
  feedbackReverb: [196, 245],
  'feedbackReverb, 8 lines': [114, 157],
  convolutionReverb: [212, 433],
  'convolutionReverb, 4 s': [400, 808],
  'convolutionReverb, late': [95.5, 192],
  'samples on hits': [43, 86],
  'bleed reduction': [37.7, 75.4],
  'track without blocks': [4.91, 9.83],
  'track with a send': [6.92, 13.8],
  'track with a bus': [8.66, 17.3],
};
