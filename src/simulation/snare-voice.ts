/**
 * Snare: a head, and wires that rattle on the other one as long as it moves.
 *
 *     head --> |velocity| --> follower --> minus slack --> x --> + --> sound
 *                                        noise 2-10 kHz ---^     ^
 *     head -------------------------------------------------------
 *
 * The wires leave the head when it accelerates away and hit it again at random phase: noise whose level follows the
 * head's velocity, silent below the motion that their tension absorbs (the slack). The near-field pressure of the head
 * stands in for its velocity.
 *
 * Source: T. D. Rossing, I. Bork, H. Zhao, D. O. Fystrom, "Acoustics of snare drums", JASA 92(1), 1992, from memory.
 *
 * @module
 */
import { exp } from '../core/maths.ts';
import type { Random } from '../core/random.ts';
import { strikeMembrane, type MembraneSettings } from './membrane-voice.ts';
import { bandNoise } from './noise-bands.ts';

/** The wires under a head. */
export interface WireSettings {
  /** Level of the rattle relative to the head. */
  readonly amplitude: number;
  /** Motion of the head, relative to its peak at velocity 1, below which the wires lie still. */
  readonly slack: number;
  /** Time constant with which the rattle dies after the head has stopped. */
  readonly followMs: number;
  /** Bands of the rattle: `[centre, width]` in Hz. */
  readonly bandsHz: readonly (readonly [number, number])[];
}

/** One stroke on a snare, not yet scaled. */
export function strikeSnare(
  head: MembraneSettings,
  wires: WireSettings,
  sampleRateHz: number,
  velocity: number,
  random: Random,
): Float64Array {
  const output = strikeMembrane(head, sampleRateHz, velocity, random);
  const rattle = wireLevels(output, wires, sampleRateHz, velocity);
  for (const [centreHz, widthHz] of wires.bandsHz) {
    const noise = bandNoise(output.length, centreHz, widthHz, sampleRateHz, random);
    for (let i = 0; i < output.length; i++) output[i] += rattle[i] * noise[i];
  }
  return output;
}

/** Level of the rattle for a stroke of the head whose peak stands for `velocity`. */
function wireLevels(head: Float64Array, wires: WireSettings, sampleRateHz: number, velocity: number): Float64Array {
  const peak = head.reduce((most, sample) => Math.max(most, Math.abs(sample)), 0);
  const toVelocity = peak > 0 ? velocity / peak : 0;
  const fall = exp(-1000 / (wires.followMs * sampleRateHz));
  const rise = 1 - exp(-1000 / (0.5 * sampleRateHz)); // 0.5 ms: the other head answers through the air between
  const levels = new Float64Array(head.length);
  let followed = 0;
  let level = 0;
  for (let i = 0; i < head.length; i++) {
    followed = Math.max(Math.abs(head[i]) * toVelocity, followed * fall);
    level += rise * (Math.max(0, followed - wires.slack) - level);
    levels[i] = velocity > 0 ? (level * wires.amplitude) / toVelocity : 0;
  }
  return levels;
}
