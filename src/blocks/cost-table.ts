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
  gain: [1.96, 3.76],
  polarity: [2.09, 3.75],
  delay: [2.07, 4.05],
  fractionalDelay: [39.3, 77.3],
  midSide: [1.69, 3.38],
  equaliser: [3.79, 7.58],
  'equaliser, 1 band': [2.79, 4.3],
  dcBlocker: [2.88, 4.35],
  bandSplit: [12.6, 19.6],
  'bandSplit, 4 bands': [34.6, 51.3],
  monoBelow: [4.75, 9.5],
  phaseRotator: [3.1, 4.67],
  gate: [3.74, 11.7],
  expander: [13.4, 20.4],
  compressor: [4.12, 8.24],
  'compressor, rms': [8.45, 16.9],
  'compressor, key filter': [10.1, 20.3],
  upwardCompressor: [12.9, 21.2],
  dynamicBand: [20.1, 30.7],
  transientShaper: [15.2, 35.1],
  limiter: [14.1, 23.3],
  'limiter, true peak': [34.7, 63.4],
  hardClipper: [30.4, 60.8],
  'hardClipper, 1x': [2.49, 4.99],
  'hardClipper, 2x': [10.9, 21.7],
  'hardClipper, 4x': [18.6, 37.3],
  'hardClipper, 16x': [52.3, 105],
  'hardClipper, 1x, first antiderivative': [49.6, 99.3],
  'hardClipper, 4x, first antiderivative': [60.8, 122],
  'hardClipper, 4x, second antiderivative': [83.1, 166],
  'hardClipper, 4x, corner correction': [56.9, 114],
  softClipper: [36.1, 72.3],
  'softClipper, 1x': [3.95, 7.89],
  'softClipper, 4x': [21.5, 43],
  'softClipper, 4x, cubic': [19.5, 39],
  'softClipper, 4x, second antiderivative': [121, 243],
  saturator: [70.8, 142],
  hysteresis: [797, 1590],
  schroederReverb: [10.7, 21.5],
  'schroederReverb, low density': [10.1, 20.2],
  'schroederReverb, high density': [12.8, 25.7],
  feedbackReverb: [191, 230],
  'feedbackReverb, 8 lines': [108, 153],
  convolutionReverb: [205, 428],
  'convolutionReverb, 4 s': [397, 798],
  'convolutionReverb, late': [95.9, 190],
  'samples on hits': [42.1, 84.1],
  'bleed reduction': [36.6, 73.1],
  'track without blocks': [4.96, 9.93],
  'track with a send': [6.76, 13.5],
  'track with a bus': [8.4, 16.8],
};
