/** The blocks as nodes of the Web Audio API. */
export { addProcessors, processorsSource } from './add-processors.ts';
export {
  closeNode,
  type ChainNode,
  type ChainNodeOptions,
  createBlockNode,
  createNode,
  type NodeOptions,
} from './create-node.ts';
export type { TimedOptions } from './messages.ts';
export type { Meters } from './meter-layout.ts';
