/**
 * Weights G of the channels in a loudness, by loudspeaker layout.
 *
 *     1.41 for loudspeakers at the sides (azimuth 60 to 120 degrees, elevation below 30), 0 for low-frequency effects, else 1
 *
 * Channels are in the order of a WAV file: left, right, centre, low-frequency effects, then surround left and right; with
 * 7.1 the rear pair, at about 150 degrees, comes before the pair at the sides. The surround pair of 5.0 and 5.1 stands at
 * 110 degrees.
 *
 * Source: Recommendation ITU-R BS.1770-5 (11/2023), Annex 1, Table 3, and Annex 3.
 *
 * @module
 */
import { nearestName } from '../core/check.ts';

/** Loudspeaker layouts that have weights. */
export type LoudspeakerLayout = 'mono' | 'stereo' | '5.0' | '5.1' | '7.1';

/** Weights for a layout, one for each channel. @throws TypeError for another name */
export function loudnessWeights(layout: LoudspeakerLayout): readonly number[] {
  const side = 1.41;
  const weights: Readonly<Record<LoudspeakerLayout, readonly number[]>> = {
    mono: [1],
    stereo: [1, 1],
    '5.0': [1, 1, 1, side, side],
    '5.1': [1, 1, 1, 0, side, side],
    '7.1': [1, 1, 1, 0, 1, 1, side, side],
  };
  if (!Object.hasOwn(weights, layout)) {
    throw new TypeError(
      `loudnessWeights: layout ${layout} is unknown; the nearest name is ${nearestName(layout, Object.keys(weights))}`,
    );
  }
  return weights[layout];
}
