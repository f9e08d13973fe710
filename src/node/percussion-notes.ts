/**
 * Notes of drums in MIDI files: channel 10, one note for each instrument.
 *
 * Source: MIDI Manufacturers Association, "General MIDI System Level 1", 1991, percussion key map (35 Acoustic Bass Drum, 36
 * Bass Drum 1, 38 Acoustic Snare, 40 Electric Snare, 41 Low Floor Tom, 42 Closed, 44 Pedal and 46 Open Hi-Hat, 43 High Floor
 * Tom, 48 Hi-Mid Tom, 49 and 57 Crash Cymbal 1 and 2, 50 High Tom, 51 and 59 Ride Cymbal 1 and 2).
 *
 * @module
 */
import { nearestName, requireInteger } from '../core/check.ts';

/** Channel 10, counted from 0. */
export const PERCUSSION_CHANNEL = 9;

/** Note of each drum by its name. */
export type PercussionNotes = Readonly<Record<string, number>>;

/** Notes of the drums of the simulated kit: write `{ ...percussionNotes(), cowbell: 56 }` for more. */
export function percussionNotes(): PercussionNotes {
  return { kick: 36, snare: 38, hat: 42, tom1: 48, tom2: 43, ride: 51, crashLeft: 49, crashRight: 57 };
}

/** The note of a drum. @throws TypeError, with the nearest name, if it has none */
export function noteOf(owner: string, drum: string, notes: PercussionNotes): number {
  if (!Object.hasOwn(notes, drum)) {
    throw new TypeError(`${owner}: ${drum} has no note; the nearest name is ${nearestName(drum, Object.keys(notes))}`);
  }
  return requireInteger(`${owner}: notes.${drum}`, notes[drum], 0, 127);
}

/** The drum of a note: by the notes, else another way to play one of its drums, else `note 56`. */
export function drumOf(note: number, notes: PercussionNotes): string {
  const named = Object.keys(notes).find((drum) => notes[drum] === note);
  return named ?? OTHER_NOTES.find(([other]) => other === note)?.[1] ?? `note ${note}`;
}

const OTHER_NOTES: readonly (readonly [note: number, drum: string])[] = [
  [35, 'kick'],
  [40, 'snare'],
  [44, 'hat'],
  [46, 'hat'],
  [50, 'tom1'],
  [41, 'tom2'],
  [59, 'ride'],
];
