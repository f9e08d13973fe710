/**
 * Names under which the processors are registered with an audio context.
 * @module
 */

/** The node that runs a whole chain of blocks. */
export const CHAIN_PROCESSOR = 'batterhead-chain';

/** The node that runs the mix of a plan. */
export const MIXER_PROCESSOR = 'batterhead-mixer';

/** The node of one block type, whose parameters are AudioParams. */
export function blockProcessor(type: string): string {
  return `batterhead-${type}`;
}
