/**
 * Meter values of a mixer as they cross from the audio thread to the page.
 *
 *     [ frame, peak of the output,  peak of strip 0, 1, ...,  level dB, gain dB of every block, strip by strip ]
 *
 * @module
 */
import type { MixPlan } from '../mix/plan.ts';
import { stripsOf } from '../mix/plan-strips.ts';
import { type BlockMeters, readBlockMeters, VALUES_OF_BLOCK } from './meter-layout.ts';

/** Meter values of a strip. */
export interface StripMeters {
  /** Largest magnitude behind the chain, before the fader, linear. */
  readonly peak: number;
  /** Of each block of the chain. */
  readonly blocks: readonly BlockMeters[];
}

/** Meter values of a mixer. */
export interface MixerMeters {
  /** Frame of the context up to which they were taken. */
  readonly frame: number;
  /** Largest magnitude of the mix, linear. */
  readonly peak: number;
  /** By the paths of the strips: `channels.snare`, `buses.drums`, `mixBus`. */
  readonly strips: Readonly<Record<string, StripMeters>>;
}

/** Where the values of a strip stand. */
interface StripPlace {
  /** Index of its peak. */
  readonly peak: number;
  /** Index of the first value of its blocks, and how many blocks it has. */
  readonly blocks: number;
  readonly count: number;
}

/** Where the values stand. */
export interface MixerLayout {
  readonly length: number;
  /** Index of the first value of a block. */
  readonly head: number;
  /** By the paths of the strips. */
  readonly strips: ReadonlyMap<string, StripPlace>;
}

/** Values before those of the strips. */
const OWN = 2;

/** The layout for a plan. */
export function mixerLayout(plan: MixPlan): MixerLayout {
  const planned = stripsOf(plan);
  const head = OWN + planned.length;
  let length = head;
  const strips = planned.map(({ path, plan: { chain } }, s): [string, StripPlace] => {
    const place = { peak: OWN + s, blocks: length, count: chain.length };
    length += VALUES_OF_BLOCK * chain.length;
    return [path, place];
  });
  return { length, head, strips: new Map(strips) };
}

/** Index of the first value of a block. */
export function blockIndex({ strips }: MixerLayout, path: string, block: number): number {
  return (strips.get(path) as StripPlace).blocks + VALUES_OF_BLOCK * block;
}

/** The values with names. */
export function readMixerMeters(values: Float64Array, layout: MixerLayout): MixerMeters {
  const strips = [...layout.strips].map(([path, { peak, blocks, count }]): [string, StripMeters] => [
    path,
    { peak: values[peak], blocks: readBlockMeters(values, blocks, count) },
  ]);
  return { frame: values[0], peak: values[1], strips: Object.fromEntries(strips) };
}
