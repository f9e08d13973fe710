/**
 * What blocks cost, and what mixing costs besides: ns per frame of one channel, and of two. Measured on
 * AMD EPYC with Node 20.20.2.
 *
 * Written by `npm run bench`.
 *
 * @module
 */

/** By the names under which they were measured. */
export const costTable: Readonly<Record<string, readonly [one: number, two: number]>> = {
  gain: [2.33, 4.62],
  polarity: [2.36, 4.45],
  delay: [3.58, 7.03],
  fractionalDelay: [43.7, 87.3],
  midSide: [2.11, 4.22],
  equaliser: [7.95, 11.5],
  'equaliser, 1 band': [3.24, 5.3],
  dcBlocker: [3.32, 5.4],
  bandSplit: [24.9, 45.6],
  'bandSplit, 4 bands': [63.5, 109],
  monoBelow: [7.68, 15.4],
  phaseRotator: [5.77, 10.4],
  gate: [6.02, 14],
  expander: [16.2, 23.2],
  compressor: [13.4, 21.7],
  'compressor, rms': [15.9, 23.6],
  'compressor, key filter': [19.6, 33.4],
  upwardCompressor: [16, 24.4],
  dynamicBand: [21, 34.3],
  transientShaper: [18.6, 43.9],
  limiter: [17.7, 43.1],
  'limiter, true peak': [41.8, 91.8],
  hardClipper: [111, 215],
  'hardClipper, 1x': [3.85, 8.2],
  'hardClipper, 2x': [29.2, 60.9],
  'hardClipper, 4x': [59.8, 119],
  'hardClipper, 16x': [194, 390],
  'hardClipper, 1x, first antiderivative': [51.1, 105],
  'hardClipper, 4x, first antiderivative': [99.8, 198],
  'hardClipper, 4x, second antiderivative': [125, 256],
  'hardClipper, 4x, corner correction': [105, 204],
  softClipper: [126, 252],
  'softClipper, 1x': [5.47, 11.5],
  'softClipper, 4x': [68.2, 136],
  'softClipper, 4x, cubic': [63.7, 128],
  'softClipper, 4x, second antiderivative': [170, 346],
  saturator: [150, 298],
  hysteresis: [943, 1890],
  schroederReverb: [34.4, 57.9],
  'schroederReverb, low density': [28.9, 47],
  'schroederReverb, high density': [38.5, 66.6],
  feedbackReverb: [207, 269],
  'feedbackReverb, 8 lines': [125, 185],
  convolutionReverb: [236, 476],
  'convolutionReverb, 4 s': [461, 1010],
  'convolutionReverb, late': [115, 241],
  'samples on hits': [45, 90.1],
  'bleed reduction': [41, 81.9],
  'track without blocks': [11.2, 22.3],
  'track with a send': [16.3, 32.6],
  'track with a bus': [19.4, 38.7],
};
