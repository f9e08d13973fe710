/**
 * Finds the alignment that a plan asks for: pass 1 of a mix, over the inputs alone.
 *
 *     moves set by hand for all, or method off        nothing is read
 *     else                                            delays and polarities of all pairs, then one set of moves
 *
 * @module
 */
import { alignKit } from '../alignment/align-kit.ts';
import type { KitMicrophone, PairAlignment } from '../alignment/kit-alignment.ts';
import { type AppliedMoves, leadOf, moveOf } from '../alignment/moves.ts';
import { type BandLoss, summationLoss } from '../alignment/summation-loss.ts';
import type { SampleSource } from '../core/sample-source.ts';
import { alignedInputs, leavesMovesOpen } from './alignment-plan.ts';
import { commonRateHz } from './input-rate.ts';
import type { MixInput } from './input-reader.ts';
import { inputSource } from './input-source.ts';
import type { MixPlan } from './plan.ts';

/** Two inputs and the drum that both hear, with what their sum gains. */
export interface AlignedPair extends PairAlignment {
  /** Whether both are close microphones of the drum; else `other` is an overhead. */
  readonly close: boolean;
  /** What the sum of the two loses from 100 to 300 Hz around the hits, before and after the moves. */
  readonly low: BandLoss;
}

/** Moves of all inputs and what they rest on. */
export interface InputAlignment extends AppliedMoves {
  /** Empty if every move was set by hand. */
  readonly pairs: readonly AlignedPair[];
}

/**
 * Finds the moves of a plan's inputs.
 *
 * @throws RangeError, with a path, if a microphone that must be listened to has more than one channel
 */
export function alignInputs(plan: MixPlan, inputs: Readonly<Record<string, MixInput>>): InputAlignment {
  const sampleRateHz = commonRateHz(plan, inputs);
  const { method, drum, moves: byHand, maxMoveMs, maxDistanceMetres, temperatureC } = plan.alignment;
  if (method === 'off' || !leavesMovesOpen(plan.alignment))
    return { moves: byHand, leadSamples: leadOf(byHand), pairs: [] };
  const named = alignedInputs(plan.alignment);
  const sources = new Map(named.map(({ name }) => [name, inputSource(plan, inputs, name, sampleRateHz)]));
  const microphones = Object.fromEntries(
    named.map(({ name, drum: own }): [string, KitMicrophone] => [
      name,
      { source: sources.get(name) as SampleSource, role: own === undefined ? 'overhead' : 'close', drum: own },
    ]),
  );
  const found = alignKit(microphones, {
    sampleRateHz,
    method,
    drumWeights: drum === undefined ? undefined : { [drum]: 1 },
    maxMoveMs,
    maxDistanceMetres,
    temperatureC,
    moves: Object.fromEntries(Object.entries(byHand).filter(([name]) => sources.has(name))),
  });
  const moves = { ...found.moves, ...byHand };
  return {
    moves,
    leadSamples: leadOf(moves),
    pairs: found.pairs.map((pair) => ({
      ...pair,
      close: !plan.alignment.overheads.includes(pair.other),
      low: lowLoss(pair, sources, moves, sampleRateHz),
    })),
  };
}

function lowLoss(
  { reference, other, estimate }: PairAlignment,
  sources: ReadonlyMap<string, SampleSource>,
  moves: InputAlignment['moves'],
  sampleRateHz: number,
): BandLoss {
  const pair = Object.fromEntries([reference, other].map((name) => [name, sources.get(name) as SampleSource]));
  const hits = estimate.hits.filter(({ outlier }) => !outlier).map(({ sample }) => sample);
  const own = Object.fromEntries([reference, other].map((name) => [name, moveOf(moves, name)]));
  return summationLoss(pair, { sampleRateHz, moves: own, hits }).low;
}
