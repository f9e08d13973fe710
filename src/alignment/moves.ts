/**
 * Moves as a whole: what they undo, and how much room they need before the first sample.
 *
 * Nothing can be earlier than the beginning of a file, so a microphone is advanced by delaying all others: every
 * microphone is late by the same whole number of samples, the lead, besides its own move. Fractions need 47 samples more,
 * in which the kernel of a fractional delay begins.
 *
 *     input     |=======                lead 3, moves 2, 0 and -3:      --|=======
 *     input     |=======                                                |=======
 *     input     |=======                                             |=======
 *
 * @module
 */
import { nearestName, refuse, requireRange } from '../core/check.ts';
import { FractionalShift, MAX_SHIFT_SAMPLES } from '../filters/fractional-shift.ts';
import type { AlignmentMove } from './kit-alignment.ts';

/** By the names of the microphones; one that is not named stays. */
export type AlignmentMoves = Readonly<Record<string, AlignmentMove>>;

/** Moves with the lead that they need. */
export interface AppliedMoves {
  /** Delay and polarity per microphone. */
  readonly moves: AlignmentMoves;
  /** Samples by which all are late, so that none has to begin before the first sample. */
  readonly leadSamples: number;
}

/** A microphone that stays as it is. */
export const NO_MOVE: AlignmentMove = { delaySamples: 0, polarity: 1 };

/** Returns the move of a microphone. */
export function moveOf(moves: AlignmentMoves, name: string): AlignmentMove {
  return Object.hasOwn(moves, name) ? moves[name] : NO_MOVE;
}

/** Whole samples by which all microphones must be late so that none of them begins before the first sample. */
export function leadOf(moves: AlignmentMoves): number {
  const shifts = Object.values(moves).map(({ delaySamples }) => new FractionalShift(delaySamples));
  return Math.max(0, ...shifts.map(({ wholeSamples, afterSamples }) => afterSamples - wholeSamples));
}

/** The moves that take these back. */
export function inverseMoves(moves: AlignmentMoves): AlignmentMoves {
  return Object.fromEntries(
    Object.entries(moves).map(([name, { delaySamples, polarity }]) => [
      name,
      { delaySamples: delaySamples === 0 ? 0 : -delaySamples, polarity },
    ]),
  );
}

/** @throws TypeError for a move of a microphone that is not there, RangeError for a move that cannot be */
export function requireMoves(owner: string, moves: AlignmentMoves, names: readonly string[]): void {
  for (const [name, { delaySamples, polarity }] of Object.entries(moves)) {
    if (!names.includes(name)) {
      throw new TypeError(`${owner}: moves.${name} is unknown; the nearest name is ${nearestName(name, names)}`);
    }
    requireRange(`${owner}: moves.${name}.delaySamples`, delaySamples, -MAX_SHIFT_SAMPLES, MAX_SHIFT_SAMPLES);
    if (![1, -1].includes(polarity)) refuse(`${owner}: moves.${name}.polarity`, '1 or -1', polarity);
  }
}
