/**
 * A consistent set of delays and polarities for all microphones of a kit.
 *
 * @module
 */
import type { Samples, SampleSource } from '../core/sample-source.ts';
import type { DelayEstimate } from './delay-estimate.ts';

/** One microphone of a kit. */
export interface KitMicrophone {
  readonly source: Samples | SampleSource;
  /** `close` is there for one drum; `overhead` hears the whole kit; `room` is late on purpose and left alone. */
  readonly role: 'close' | 'overhead' | 'room';
  /** The drum of a close microphone. Of several close microphones of one drum, the first is its reference. */
  readonly drum?: string | undefined;
}

/** What is done to a microphone. */
export interface AlignmentMove {
  /** Delayed by this many samples; negative: advanced. */
  readonly delaySamples: number;
  /** Multiplied by this. */
  readonly polarity: 1 | -1;
}

/** Two microphones and the drum that both hear. */
export interface PairAlignment {
  readonly reference: string;
  readonly other: string;
  readonly drum: string;
  readonly estimate: DelayEstimate;
  /** Whether the kit's fit used the pair. */
  readonly used: boolean;
  /** By how much `other` still hears the drum later after the moves. */
  readonly residualSamples: number;
}

/** Moves of a kit and what they rest on. */
export interface KitAlignment {
  /** By microphone; a microphone left as it is has delay 0 and polarity 1. */
  readonly moves: Readonly<Record<string, AlignmentMove>>;
  readonly pairs: readonly PairAlignment[];
}
