/**
 * The blow: how long the stick stays on the head, and what that leaves of the high modes.
 *
 *     force(t) = 1 - cos(2 pi t / T), 0 <= t <= T      ->      |F(f)| = | sin(x) / (x (1 - (x / pi)^2)) |,  x = pi f T
 *
 * A harder blow leaves the head sooner, so it is brighter as well as louder.
 *
 * Source: N. H. Fletcher, T. D. Rossing, "The Physics of Musical Instruments", chapter on drums (contact time falls
 * with the speed of the stick), from memory; the law T = T1 (2 - v) is a simple stand-in.
 *
 * @module
 */
import { sin } from '../core/maths.ts';

/** Contact time at a velocity from 0 to 1, given that of the hardest blow. */
export function contactSeconds(hardestSeconds: number, velocity: number): number {
  return hardestSeconds * (2 - velocity);
}

/** Share of a mode at `frequencyHz` that a contact of `seconds` excites: 1 at 0 Hz. */
export function contactSpectrum(frequencyHz: number, seconds: number): number {
  const x = Math.PI * frequencyHz * seconds;
  const reach = x / Math.PI;
  if (x < 1e-6) return 1;
  if (Math.abs(reach - 1) < 1e-6) return 0.5; // limit at the first removable pole
  return Math.abs(sin(x) / (x * (1 - reach * reach)));
}
