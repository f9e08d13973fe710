/**
 * What goes between a page and the processors of its nodes.
 * @module
 */
import type { AppliedMoves } from '../alignment/moves.ts';
import type { MixPlan } from '../mix/plan.ts';
import type { FaderEvent } from '../mix/strip.ts';
import type { ImpulseResponse } from '../reverb/convolution-reverb.ts';
import type { MeterSettings } from './meter-layout.ts';

/** Options of a block that are due at a frame of the context. */
export interface TimedOptions {
  /** Place of the block in the chain, from 0. */
  readonly block: number;
  /** What is set. */
  readonly options: Readonly<Record<string, unknown>>;
  /** When, in frames of the context. */
  readonly frame: number;
}

/** Options that a chain's processor is constructed with. They are plain data: they cross a thread. */
export interface ChainSettings {
  /** Blocks as a plan writes them; a `key` of any name means the node's second input. */
  readonly chain: readonly object[];
  readonly channels: number;
  readonly keyChannels: number;
  readonly automation: readonly TimedOptions[];
  /** Where meter values go; none are taken unless given. */
  readonly meters?: MeterSettings | undefined;
}

/** From the page to a chain's processor. */
export type ChainMessage =
  | ({ readonly kind: 'set' } & TimedOptions)
  | { readonly kind: 'reset' }
  /** The node is not needed any more. */
  | { readonly kind: 'close' }
  /** A buffer of meter values comes back to be filled again. */
  | { readonly kind: 'meters'; readonly values: Float64Array };

/** A value of a strip that is due at a frame of the context. */
export interface TimedValue {
  /** Path of the strip. */
  readonly strip: string;
  /** Which block of its chain; -1 for the fader and the sends. */
  readonly block: number;
  readonly frame: number;
  readonly event: Omit<FaderEvent, 'sample'>;
}

/** Options that a mixer's processor is constructed with. */
export interface MixerSettings {
  readonly plan: MixPlan;
  /** What comes in at the node's inputs, in their order. */
  readonly inputs: readonly { readonly name: string; readonly channels: number }[];
  readonly alignment: AppliedMoves;
  /** By the names of the inputs that hold them. */
  readonly impulses: Readonly<Record<string, ImpulseResponse>>;
  /** Frame of the context at which the recordings begin. */
  readonly startFrame: number;
  readonly meters?: MeterSettings | undefined;
}

/** From the page to a mixer's processor. */
export type MixerMessage =
  ({ readonly kind: 'value' } & TimedValue) | Extract<ChainMessage, { readonly kind: 'close' | 'meters' }>;

/** From a processor to its page. */
export type NodeMessage =
  { readonly kind: 'refused'; readonly message: string } | { readonly kind: 'meters'; readonly values: Float64Array };
