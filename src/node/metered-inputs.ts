/**
 * Inputs of a mix that are measured while they are read, on whichever thread that is.
 * @module
 */
import { type InputLevels, MeteredInput } from '../mix/metered-input.ts';
import type { WavInput } from './wav-files.ts';

/** What was read of the inputs, by their names. */
export type InputLevelsByName = Readonly<Record<string, InputLevels>>;

/** Inputs that are measured while they are read. */
export function meter(inputs: Readonly<Record<string, WavInput>>): Readonly<Record<string, MeteredInput>> {
  return Object.fromEntries(Object.entries(inputs).map(([name, input]) => [name, new MeteredInput(input)]));
}

/** What was read of them. */
export function levelsOf(metered: Readonly<Record<string, MeteredInput>>): InputLevelsByName {
  return Object.fromEntries(Object.entries(metered).map(([name, { levels }]) => [name, levels]));
}

/** The levels of whichever thread has read the most of each input. */
export function mostRead(threads: readonly InputLevelsByName[]): InputLevelsByName {
  return threads.reduce((known, more) =>
    Object.fromEntries(
      Object.entries(known).map(([name, levels]) => [name, more[name].frames > levels.frames ? more[name] : levels]),
    ),
  );
}
