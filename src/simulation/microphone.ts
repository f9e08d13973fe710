/**
 * What a microphone makes of a sound that reaches it: directivity, and the side of the drum that it faces.
 *
 *                      front (+)
 *     omni      1         |          head or cymbal
 *     cardioid  (1 + cos) / 2   ==================
 *                         |
 *                      back (-)
 *
 * A head or a cymbal that moves up pushes the air above it and pulls the air below: the two sides hear opposite
 * signs. The sign follows from the side on which the sound leaves. A real drum fades through zero in between; here
 * the full amplitude is kept, so that the polarity of every path is defined.
 *
 * A real cardioid is no exact null at the back either: -26 dB is left.
 *
 * @module
 */
import { cosineBetween, dot, type Vector } from './vectors.ts';

/** A drum in the room. */
export interface DrumPlace {
  /** Where it is struck: the point from which its sound spreads. */
  readonly positionMetres: Vector;
  /** Direction of the side that radiates with positive polarity. */
  readonly front: Vector;
}

/** A microphone in the room. */
export interface MicrophonePlace {
  /** Position in metres. */
  readonly positionMetres: Vector;
  /** Direction in which it points; any for an omni. */
  readonly axis: Vector;
  /** Directional pattern. */
  readonly pattern: 'cardioid' | 'omni';
}

/** What a cardioid still hears from behind: -26 dB. */
const CARDIOID_FLOOR = 0.05;

/** Sensitivity towards `origin`, 1 on the axis. */
export function directivity(microphone: MicrophonePlace, origin: Vector): number {
  if (microphone.pattern === 'omni') return 1;
  return Math.max(CARDIOID_FLOOR, 0.5 + 0.5 * cosineBetween(microphone.axis, origin));
}

/** +1 in front of the drum, -1 behind it; the plane between counts as front. */
export function sideOf(drum: DrumPlace, departure: Vector): 1 | -1 {
  return dot(drum.front, departure) >= 0 ? 1 : -1;
}
