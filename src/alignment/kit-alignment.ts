/**
 * The words of a kit's alignment: its microphones, what is done to them, and what that rests on.
 *
 * @module
 */
import type { Samples, SampleSource } from '../core/sample-source.ts';
import type { DelayWeighting } from './cross-spectrum.ts';
import type { DelayEstimate } from './delay-estimate.ts';
import type { SearchRange } from './search-range.ts';

/** One microphone of a kit. */
export interface KitMicrophone {
  /** One channel of samples, or a source that can be read again and again. */
  readonly source: Samples | SampleSource;
  /** `close` is there for one drum; `overhead` hears the whole kit; `room` is late on purpose and left alone. */
  readonly role: 'close' | 'overhead' | 'room';
  /** The drum of a close microphone. Of several close microphones of one drum, the first is its reference. */
  readonly drum?: string | undefined;
}

/** Whether close microphones move towards the overheads, or the overheads towards a drum. */
export type AlignmentMethod = 'closeToOverheads' | 'overheadsToDrum';

/** Options of {@link alignKit}. */
export interface AlignKitOptions extends SearchRange {
  /** Of all microphones, 8000 to 384000. */
  readonly sampleRateHz: number;
  /** What is moved; `closeToOverheads` unless given. */
  readonly method?: AlignmentMethod | undefined;
  /** Weighting of the cross spectra; `coherence` by default. */
  readonly weighting?: DelayWeighting | undefined;
  /** Hits of each drum at its reference microphone, within 0.5 ms. Picked unless given. */
  readonly hits?: Readonly<Record<string, readonly number[]>> | undefined;
  /** The overhead with which a drum is aligned; the one that hears it first unless given. */
  readonly overheadOf?: Readonly<Record<string, string>> | undefined;
  /** How much each drum counts where one microphone is moved for several; the snare alone unless given. */
  readonly drumWeights?: Readonly<Record<string, number>> | undefined;
  /** Whether rooms are moved like overheads that are aligned with the drums; false unless given. */
  readonly moveRooms?: boolean | undefined;
  /** A microphone that would have to be moved further stays where it is: 0 to 100, 20 unless given. */
  readonly maxMoveMs?: number | undefined;
  /** Moves set by hand. The rest is fitted around them. */
  readonly moves?: Readonly<Record<string, Partial<AlignmentMove>>> | undefined;
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
  /** Name of the microphone that the delay counts from. */
  readonly reference: string;
  /** Name of the microphone whose delay it is. */
  readonly other: string;
  /** The drum whose hits were compared. */
  readonly drum: string;
  /** Delay, polarity and confidence, with the reasons. */
  readonly estimate: DelayEstimate;
  /** Whether the kit's delays rest on the pair. */
  readonly used: boolean;
  /** Why they do not; empty if they do. */
  readonly note: string;
  /** By how much `other` still hears the drum later after the moves. */
  readonly residualSamples: number;
}

/** Moves of a kit and what they rest on. */
export interface KitAlignment {
  /** By microphone; a microphone left as it is has delay 0 and polarity 1. */
  readonly moves: Readonly<Record<string, AlignmentMove>>;
  /** Every pair that was compared. */
  readonly pairs: readonly PairAlignment[];
}
