/**
 * Guesses what each microphone of a kit is there for, from what it recorded and from its name, and says why.
 *
 *     microphones --> listening --> classes of all together --> places within a class --> roles
 *
 * Names are not needed: content alone is enough where the drums were played.
 *
 * @module
 */
import { type Listening, listen, type UnknownMicrophone } from './listening.ts';
import type { Place } from './name-hints.ts';
import { roleClassesOf } from './role-classes.ts';
import { rolePlaces } from './role-places.ts';
import type { RoleClass } from './role-model.ts';

/** What a microphone can be there for. `overhead` and `room` without a side are single ones in the middle. */
export const microphoneRoles = [
  'kickIn',
  'kickOut',
  'snareTop',
  'snareBottom',
  'rackTom',
  'floorTom',
  'hat',
  'ride',
  'overheadLeft',
  'overheadRight',
  'overhead',
  'roomLeft',
  'roomRight',
  'room',
] as const;

/** One of {@link microphoneRoles}. */
export type MicrophoneRole = (typeof microphoneRoles)[number];

/** What a microphone is taken for. */
export interface RoleGuess {
  /** Name of its file. */
  readonly file: string;
  /** Channel of the file, from 0; undefined if the file has one. */
  readonly channel: number | undefined;
  /** Undefined for a silent microphone. */
  readonly role: MicrophoneRole | undefined;
  /** 0.25 (a guess) to 1 (certain). */
  readonly confidence: number;
  /** Why, in words with their figures. */
  readonly reasons: readonly string[];
}

/**
 * The role of every microphone, in their order.
 *
 * @param microphones - 1 to 64, with one origin of time
 * @throws RangeError for a sample rate out of range, or no or too many microphones
 */
export function guessRoles(microphones: readonly UnknownMicrophone[], sampleRateHz: number): RoleGuess[] {
  const listening = listen(microphones, sampleRateHz);
  const guesses = new Map(rolesHeard(listening).map((guess, m) => [listening.microphones[m], guess]));
  return microphones.map((microphone) => guesses.get(microphone) ?? silent(microphone));
}

/** The roles of the microphones that are not silent. */
export function rolesHeard(listening: Listening): RoleGuess[] {
  const classes = roleClassesOf(listening);
  const places = rolePlaces(
    listening,
    classes.map(({ role }) => role),
  );
  return listening.microphones.map(({ file, channel }, m) => {
    const { place, confidence, reason } = places[m];
    return {
      file,
      channel,
      role: roleOf(classes[m].role, place),
      confidence: classes[m].confidence * confidence,
      reasons: [...classes[m].reasons, ...(reason === undefined ? [] : [reason])],
    };
  });
}

/** The guess of a microphone in which there is nothing. */
export function silent({ file, channel }: UnknownMicrophone): RoleGuess {
  return { file, channel, role: undefined, confidence: 1, reasons: ['silent'] };
}

function roleOf(role: RoleClass, place: Place | undefined): MicrophoneRole {
  switch (role) {
    case 'kick':
      return place === 'outside' ? 'kickOut' : 'kickIn';
    case 'snare':
      return place === 'bottom' ? 'snareBottom' : 'snareTop';
    case 'tom':
      return place === 'floor' ? 'floorTom' : 'rackTom';
    case 'overhead':
      return place === 'left' ? 'overheadLeft' : place === 'right' ? 'overheadRight' : 'overhead';
    case 'room':
      return place === 'left' ? 'roomLeft' : place === 'right' ? 'roomRight' : 'room';
    default:
      return role;
  }
}
