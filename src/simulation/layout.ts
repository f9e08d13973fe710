/**
 * Where everything stands: the room, eight drums, twelve microphones.
 *
 *          y   roomLeft                 roomRight
 *          |
 *          |               kickOut
 *          |    crashLeft    |  tom1   crashRight
 *          |              [ kick ]          ride
 *          |     hat   snare        tom2
 *          |               drummer
 *          +------------------------------------- x
 *
 * A right-handed kit in a room of 6.2 x 7.4 x 3.1 m. All distances are plausible rather than measured. With it the
 * snare's bottom microphone hears inverted polarity, and so does every microphone below a drum's plane or behind
 * the kick's beater. The kick counts as one source at the centre of its struck head: the inner microphone is
 * between the heads, the outer one in front of the resonant head, both on the audience's side, both positive.
 *
 * @module
 */
import type { DrumPlace, MicrophonePlace } from './microphone.ts';
import type { DrumName, MicrophoneName } from './names.ts';
import type { Room } from './room.ts';
import { type Vector, wayFrom } from './vectors.ts';

/** A kit in a room. */
export interface KitLayout {
  /** The room. */
  readonly room: Room;
  /** Where every drum stands. */
  readonly drums: Readonly<Record<DrumName, DrumPlace>>;
  /** Where every microphone stands, and how it points. */
  readonly microphones: Readonly<Record<MicrophoneName, MicrophonePlace>>;
}

/** The drum that a close microphone is there for; the microphones not listed here hear the whole kit on purpose. */
export const microphoneTargets: Readonly<Partial<Record<MicrophoneName, DrumName>>> = {
  kickIn: 'kick',
  kickOut: 'kick',
  snareTop: 'snare',
  snareBottom: 'snare',
  hat: 'hat',
  tom1: 'tom1',
  tom2: 'tom2',
  ride: 'ride',
};

const UP: Vector = [0, 0, 1];
const DOWN: Vector = [0, 0, -1];
const TO_AUDIENCE: Vector = [0, 1, 0];

/** The layout that `simulateKit` uses unless given another. */
export function defaultKitLayout(): KitLayout {
  const drums: Record<DrumName, DrumPlace> = {
    kick: { positionMetres: [3.1, 2.2, 0.3], front: TO_AUDIENCE },
    snare: { positionMetres: [2.85, 1.9, 0.68], front: UP },
    hat: { positionMetres: [2.48, 2.05, 0.92], front: UP },
    tom1: { positionMetres: [2.98, 2.38, 0.9], front: [0, -0.15, 0.99] },
    tom2: { positionMetres: [3.62, 1.8, 0.62], front: UP },
    ride: { positionMetres: [3.7, 2.25, 1.02], front: UP },
    crashLeft: { positionMetres: [2.55, 2.55, 1.32], front: UP },
    crashRight: { positionMetres: [3.55, 2.6, 1.35], front: UP },
  };
  const close = (positionMetres: Vector, drum: DrumName): MicrophonePlace => ({
    positionMetres,
    axis: wayFrom(positionMetres, drums[drum].positionMetres),
    pattern: 'cardioid',
  });
  return {
    room: {
      sizeMetres: [6.2, 7.4, 3.1],
      floorReflection: 0.7,
      ceilingReflection: 0.5,
      wallReflection: 0.6,
      reflectionOrder: 3,
    },
    drums,
    microphones: {
      kickIn: close([3.1, 2.38, 0.28], 'kick'),
      kickOut: close([3.06, 2.76, 0.32], 'kick'),
      snareTop: close([2.8, 2, 0.75], 'snare'),
      snareBottom: close([2.88, 1.97, 0.55], 'snare'),
      hat: close([2.4, 2.1, 1.03], 'hat'),
      tom1: close([3.04, 2.5, 1.02], 'tom1'),
      tom2: close([3.7, 1.92, 0.74], 'tom2'),
      ride: close([3.78, 2.31, 1.13], 'ride'),
      overheadLeft: { positionMetres: [2.45, 2.3, 1.95], axis: DOWN, pattern: 'cardioid' },
      overheadRight: { positionMetres: [3.75, 2.3, 1.95], axis: DOWN, pattern: 'cardioid' },
      roomLeft: { positionMetres: [1.6, 5.6, 1.5], axis: UP, pattern: 'omni' },
      roomRight: { positionMetres: [4.6, 5.6, 1.5], axis: UP, pattern: 'omni' },
    },
  };
}
