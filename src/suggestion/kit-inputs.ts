/**
 * The inputs of a plan and the drums that they hear, by the roles of the microphones.
 *
 *     rackTom, rackTom, kickIn, room   -->   rackTom1, rackTom2, kickIn, room        rack toms from high to low
 *     kickOut, kickIn                  -->   drum "kick" of kickIn, kickOut          the nearest first
 *
 * @module
 */
import type { DrumKind } from '../hits/key-bands.ts';
import type { MicrophoneRole } from './guess-roles.ts';

/** A microphone under the name that the plan gives it. */
export interface KitInput {
  readonly name: string;
  readonly role: MicrophoneRole;
  /** Index of the microphone in the listening. */
  readonly microphone: number;
}

/** A drum that at least one microphone is there for. */
export interface KitDrum {
  /** Its name in the plan: `kick`, `rackTom1`. */
  readonly name: string;
  readonly kind: DrumKind;
  /** Its inputs, the nearest first. */
  readonly inputs: readonly KitInput[];
}

/** Names of the inputs, in the order of the microphones. @param pitchOf - for toms, in Hz; NaN if unknown */
export function kitInputs(roles: readonly MicrophoneRole[], pitchOf: (microphone: number) => number): KitInput[] {
  return roles.map((role, microphone) => {
    const same = roles.map((_, m) => m).filter((m) => roles[m] === role);
    const isTom = role === 'rackTom' || role === 'floorTom';
    if (isTom) same.sort((a, b) => (pitchOf(b) || 0) - (pitchOf(a) || 0));
    return { name: same.length > 1 ? `${role}${same.indexOf(microphone) + 1}` : role, role, microphone };
  });
}

/** The drums that the inputs are there for. */
export function kitDrums(inputs: readonly KitInput[]): KitDrum[] {
  const of = (...roles: readonly MicrophoneRole[]) =>
    roles.flatMap((role) => inputs.filter((input) => input.role === role));
  const together = (name: 'kick' | 'snare', own: readonly KitInput[]): KitDrum[] =>
    own.length > 0 ? [{ name, kind: name, inputs: own }] : [];
  const alone = (kind: 'rackTom' | 'floorTom' | 'hat' | 'ride'): KitDrum[] =>
    of(kind).map((input) => ({ name: input.name, kind, inputs: [input] }));
  return [
    ...together('kick', of('kickIn', 'kickOut')),
    ...together('snare', of('snareTop', 'snareBottom')),
    ...alone('rackTom'),
    ...alone('floorTom'),
    ...alone('hat'),
    ...alone('ride'),
  ];
}
