/**
 * Alignment in a report: the moves, and what each pair of microphones has shown.
 * @module
 */
import type { AlignmentMoves } from '../alignment/moves.ts';
import type { BandLoss } from '../alignment/summation-loss.ts';
import type { InputAlignment } from './align-inputs.ts';

/** A pair of inputs. */
export interface PairReport {
  /** Name of the microphone that the delay counts from. */
  readonly reference: string;
  /** Name of the microphone whose delay it is. */
  readonly other: string;
  /** The drum whose hits were compared. */
  readonly drum: string;
  /** Whether both are close microphones of the drum; else `other` is an overhead. */
  readonly close: boolean;
  /** By how much `other` hears the drum later. */
  readonly delaySamples: number;
  /** Delay in milliseconds, positive where the other is later. */
  readonly delayMs: number;
  /** -1 where the other is inverted. */
  readonly polarity: 1 | -1;
  /** 0 to 1. */
  readonly confidence: number;
  /** Why the confidence is low; empty when it is high. */
  readonly reasons: readonly string[];
  /** Number of hits compared. */
  readonly hits: number;
  /** Whether the moves rest on it. */
  readonly used: boolean;
  /** Why they do not; empty if they do. */
  readonly note: string;
  /** What is left of the delay after the moves. */
  readonly residualSamples: number;
  /** Level that the sum of the two loses from 100 to 300 Hz around the hits; Infinity, in JSON null: all of it. */
  readonly low: BandLoss & {
    /** What the moves have brought. */
    readonly gainDb: number;
  };
}

/** How the inputs were brought in time. */
export interface AlignmentReport {
  /** By how much the mix begins before the first sample of the inputs. */
  readonly leadSamples: number;
  /** Delay and polarity given to every microphone. */
  readonly moves: AlignmentMoves;
  /** Every pair that was compared. */
  readonly pairs: readonly PairReport[];
}

/** The report of an alignment. */
export function alignmentReport({ leadSamples, moves, pairs }: InputAlignment, sampleRateHz: number): AlignmentReport {
  return {
    leadSamples,
    moves,
    pairs: pairs.map(({ reference, other, drum, close, estimate, used, note, residualSamples, low }) => ({
      reference,
      other,
      drum,
      close,
      delaySamples: estimate.delaySamples,
      delayMs: (1000 * estimate.delaySamples) / sampleRateHz,
      polarity: estimate.polarity,
      confidence: estimate.confidence,
      reasons: estimate.reasons,
      hits: estimate.hits.length,
      used,
      note,
      residualSamples,
      low: { ...low, gainDb: low.beforeDb - low.afterDb },
    })),
  };
}
