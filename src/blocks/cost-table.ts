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
  gain: [2.32, 4.7],
  polarity: [2.31, 4.44],
  delay: [3.63, 7.16],
  fractionalDelay: [42.9, 86.6],
  midSide: [2.12, 4.24],
  equaliser: [7.77, 13.5],
  'equaliser, 1 band': [3.23, 5.17],
  dcBlocker: [3.27, 5.22],
  bandSplit: [23.8, 42.5],
  'bandSplit, 4 bands': [60.4, 104],
  monoBelow: [7.16, 14.3],
  phaseRotator: [5.5, 9.63],
  gate: [5.8, 12.4],
  expander: [14.2, 20.9],
  compressor: [12.9, 20.4],
  'compressor, rms': [15.7, 22.5],
  'compressor, key filter': [18.6, 29.9],
  upwardCompressor: [13.2, 22.1],
  dynamicBand: [20.1, 31.4],
  transientShaper: [17.9, 41.4],
  limiter: [16.7, 39.6],
  'limiter, true peak': [38.3, 86.8],
  hardClipper: [39.6, 79.1],
  'hardClipper, 1x': [3.62, 7.24],
  'hardClipper, 2x': [15.3, 30.5],
  'hardClipper, 4x': [24.1, 48.2],
  'hardClipper, 16x': [67.3, 135],
  'hardClipper, 1x, first antiderivative': [52.3, 105],
  'hardClipper, 4x, first antiderivative': [66.3, 133],
  'hardClipper, 4x, second antiderivative': [87.3, 175],
  'hardClipper, 4x, corner correction': [71.2, 142],
  softClipper: [51.8, 104],
  'softClipper, 1x': [5.29, 10.6],
  'softClipper, 4x': [30.3, 60.6],
  'softClipper, 4x, cubic': [28.2, 56.4],
  'softClipper, 4x, second antiderivative': [128, 256],
  saturator: [76.3, 153],
  hysteresis: [817, 1630],
  schroederReverb: [30.8, 53],
  'schroederReverb, low density': [26.6, 44.2],
  'schroederReverb, high density': [35.8, 60.9],
  feedbackReverb: [196, 246],
  'feedbackReverb, 8 lines': [118, 171],
  convolutionReverb: [218, 451],
  'convolutionReverb, 4 s': [420, 850],
  'convolutionReverb, late': [101, 202],
  'samples on hits': [43, 85.9],
  'bleed reduction': [38.8, 77.5],
  'track without blocks': [7.44, 14.9],
  'track with a send': [9.48, 19],
  'track with a bus': [11.5, 22.9],
};
