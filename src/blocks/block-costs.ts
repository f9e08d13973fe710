/**
 * Costs of the blocks: roughly how long each takes for a sample of a channel, so that work can be shared evenly.
 *
 * Measured with default parameters, two channels and decaying noise, in plain JavaScript on one machine: their ratios are
 * what counts. A block that oversamples costs in proportion to its factor.
 *
 * @module
 */
import { type BlockPlan, blockTypeOf, chainsOf } from './block-plan.ts';

/** Nanoseconds for a sample of a channel; for a block that oversamples, divided by the factor. */
const blockCosts: Readonly<Record<string, number>> = {
  gain: 4,
  polarity: 4,
  delay: 5,
  fractionalDelay: 5,
  midSide: 4,
  equaliser: 3,
  dcBlocker: 4,
  bandSplit: 29,
  monoBelow: 10,
  phaseRotator: 8,
  gate: 18,
  expander: 18,
  compressor: 20,
  upwardCompressor: 18,
  dynamicBand: 23,
  transientShaper: 24,
  limiter: 25,
  hardClipper: 24,
  softClipper: 28,
  saturator: 27,
  hysteresis: 127,
  schroederReverb: 44,
  feedbackReverb: 137,
  convolutionReverb: 312,
};

/** Cost of a block that is not in the list. */
const UNKNOWN = 20;
/** What each band of an equaliser adds. */
const BAND = 1.5;

/** Cost of a block of a plan: nanoseconds for a sample of a channel, the chains of a split included. */
export function blockCost(block: BlockPlan): number {
  const factor = block.options['oversampling'] ?? blockTypeOf(block).parameters['oversampling']?.default;
  const bands = [...(block.bands ?? []), ...(block.keyFilter ?? [])];
  const inner = chainsOf(block).flat();
  return (
    (blockCosts[block.type] ?? UNKNOWN) * (typeof factor === 'number' ? factor : 1) +
    BAND * bands.length +
    inner.reduce((sum, inside) => sum + blockCost(inside), 0)
  );
}
