/**
 * Applies the moves of an alignment: delays, advances and turns whole recordings, and loses nothing of them.
 *
 *     y[n] = polarity x(n - lead - delay)
 *
 * The lead is the same for all microphones (see `moves.ts`); the results are longer than the input by it and by the
 * largest delay. Whole delays are exact to the bit; fractions have the kernel of `FractionalDelay`. The inverse moves
 * bring the input back within -120 dB, as long as it has nothing above 20/48 of the sample rate.
 *
 * @module
 */
import { type Samples, type SampleSource, sourceOf } from '../core/sample-source.ts';
import { FractionalShift } from '../filters/fractional-shift.ts';
import type { AlignmentMove } from './kit-alignment.ts';
import { type AlignmentMoves, leadOf, moveOf, requireMoves } from './moves.ts';

/** Microphones in time with each other. */
export interface AlignedMicrophones<Name extends string = string> {
  /** All as long as the longest needs. */
  readonly microphones: Readonly<Record<Name, Float64Array>>;
  /** Samples before what was the first sample of the inputs. */
  readonly leadSamples: number;
}

/**
 * Moves whole recordings.
 *
 * @param moves - by the names of the microphones; a microphone that is not named is late by the lead alone
 * @throws TypeError for a move of a microphone that is not there, RangeError for a move that cannot be
 */
export function applyAlignment<Name extends string>(
  microphones: Readonly<Record<Name, Samples>>,
  moves: AlignmentMoves,
): AlignedMicrophones<Name> {
  const names = Object.keys(microphones) as Name[];
  requireMoves('applyAlignment', moves, names);
  const leadSamples = leadOf(moves);
  const sources = names.map((name) => movedSource(sourceOf(microphones[name]), moveOf(moves, name), leadSamples));
  const frames = Math.max(0, ...sources.map((source) => source.frames));
  const moved = names.map((name, m): [Name, Float64Array] => {
    const samples = new Float64Array(frames);
    sources[m].read(0, samples);
    return [name, samples];
  });
  return { microphones: Object.fromEntries(moved) as Record<Name, Float64Array>, leadSamples };
}

/** A recording moved by a move and the lead of all moves, read piece by piece. */
export function movedSource(
  source: SampleSource,
  { delaySamples, polarity }: AlignmentMove,
  leadSamples: number,
): SampleSource {
  const shift = new FractionalShift(delaySamples);
  const { wholeSamples, beforeSamples, afterSamples } = shift;
  let window = new Float64Array(0);
  return {
    frames: Math.max(0, source.frames + leadSamples + wholeSamples + beforeSamples),
    read(start, into) {
      const length = into.length + beforeSamples + afterSamples;
      if (window.length !== length) window = new Float64Array(length);
      source.read(start - leadSamples - wholeSamples - beforeSamples, window);
      shift.run(window, into, into.length);
      if (polarity < 0) for (let i = 0; i < into.length; i++) into[i] = -into[i];
    },
  };
}
