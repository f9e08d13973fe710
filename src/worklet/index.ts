/** The blocks as nodes of the Web Audio API. */
export { addProcessors, processorsSource } from './add-processors.ts';
export { createMixerNode, type MixerNode, type MixerNodeOptions } from './create-mixer-node.ts';
export {
  closeNode,
  type ChainNode,
  type ChainNodeOptions,
  createBlockNode,
  createNode,
  type NodeOptions,
} from './create-node.ts';
export type { TimedOptions } from './messages.ts';
export type { BlockMeters, Meters } from './meter-layout.ts';
export type { MixerMeters, StripMeters } from './mixer-meters.ts';
