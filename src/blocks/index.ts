/**
 * Blocks: all processors by the names that a plan uses, and how to make one from JSON.
 *
 * @module
 */
export { type BlockPlan, type HitKeyPlan, parseBlock } from './block-plan.ts';
export { type BlockParts, type BlockType, blockTypes } from './block-types.ts';
export { createBlock, type RunningBlock } from './create-block.ts';
export { matchLoudness } from './match-loudness.ts';
export { parameterDescriptions } from './parameter-descriptions.ts';
