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
  gain: [1.96, 3.84],
  polarity: [1.98, 3.92],
  delay: [2.23, 4.17],
  fractionalDelay: [39.1, 78.5],
  midSide: [1.71, 3.42],
  equaliser: [4.17, 5.85],
  'equaliser, 1 band': [2.8, 4.32],
  dcBlocker: [2.93, 4.43],
  bandSplit: [13.1, 20.4],
  'bandSplit, 4 bands': [34.5, 51.8],
  monoBelow: [4.82, 9.64],
  phaseRotator: [3.06, 4.68],
  gate: [3.48, 11.4],
  expander: [13.1, 21.4],
  compressor: [5.75, 6.71],
  'compressor, rms': [11.1, 18],
  'compressor, key filter': [12.8, 25.4],
  upwardCompressor: [13, 21.9],
  dynamicBand: [20, 31.3],
  transientShaper: [15.9, 37.1],
  limiter: [14.2, 23.8],
  'limiter, true peak': [36.1, 65.7],
  hardClipper: [31.7, 63.6],
  'hardClipper, 1x': [2.17, 4.11],
  'hardClipper, 2x': [10.5, 21.1],
  'hardClipper, 4x': [18.3, 36.9],
  'hardClipper, 16x': [52.7, 105],
  'hardClipper, 1x, first antiderivative': [74.7, 151],
  'hardClipper, 4x, first antiderivative': [74.8, 150],
  'hardClipper, 4x, second antiderivative': [104, 205],
  'hardClipper, 4x, corner correction': [64, 128],
  softClipper: [38.2, 77.4],
  'softClipper, 1x': [4.13, 7.96],
  'softClipper, 4x': [22, 44.6],
  'softClipper, 4x, cubic': [19.8, 39.4],
  'softClipper, 4x, second antiderivative': [149, 298],
  saturator: [84.8, 165],
  hysteresis: [851, 1700],
  schroederReverb: [12.8, 19.7],
  'schroederReverb, low density': [12, 18.1],
  'schroederReverb, high density': [15.4, 24.1],
  feedbackReverb: [199, 248],
  'feedbackReverb, 8 lines': [113, 159],
  convolutionReverb: [214, 443],
  'convolutionReverb, 4 s': [411, 841],
  'convolutionReverb, late': [96, 193],
  'samples on hits': [43.6, 87.2],
  'bleed reduction': [38.1, 76.2],
  'track without blocks': [7.04, 14.1],
  'track with a send': [9.49, 19],
  'track with a bus': [13.3, 26.5],
};
