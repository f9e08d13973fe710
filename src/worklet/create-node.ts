/**
 * Nodes: a chain of blocks, or one block, in an audio graph.
 *
 *     first input  --> [ block -> block -> ... ] --> output
 *     second input ------^ key of the blocks that name one
 *
 * A chain node runs a whole strip, because every node costs more than a few filters. It has no AudioParams: its blocks
 * are set by messages that say at which frame.
 *
 * @module
 */
import { blockTypes } from '../blocks/block-types.ts';
import { requireInteger } from '../core/check.ts';
import { requireName, requireObject } from '../core/json-check.ts';
import { createBlockChain } from './block-chain.ts';
import { automated, parameterValue, paramDescriptors } from './block-params.ts';
import type { ChainMessage, ChainSettings, TimedOptions } from './messages.ts';
import { meterLength, type Meters, type MeterSettings, readMeterValues } from './meter-layout.ts';
import { blockProcessor, CHAIN_PROCESSOR } from './names.ts';
import { meterSettings, NodeLink } from './node-link.ts';

/** Shape of a node. */
export interface NodeOptions {
  /** Channels of input and output, 1 to 32; 2 unless given. Other counts are mixed up or down by the browser. */
  readonly channels?: number | undefined;
  /** Channels of the second input, 1 to 32; as many as `channels` unless given. */
  readonly keyChannels?: number | undefined;
}

/** Shape of a chain node. */
export interface ChainNodeOptions extends NodeOptions {
  /** Frames between two sets of meter values; no meters unless given. */
  readonly meterFrames?: number | undefined;
  /**
   * Options that are due at frames known from the start. What an offline context must not miss belongs here: a message
   * of `setAt` may come when it has rendered past its frame.
   */
  readonly automation?: readonly TimedOptions[] | undefined;
}

/** A chain of blocks in an audio graph. */
export interface ChainNode {
  /** The node to connect. Its second input is the key. */
  readonly node: AudioWorkletNode;
  /** Delay from input to output, whole samples. */
  getLatencySamples(): number;
  /** How long the chain sounds after its input and its latency, in samples; may be Infinity. */
  getTailSamples(): number;
  /**
   * Sets options of one block for the samples that come in at `frame` of the context, exactly; for the next ones if
   * `frame` has passed or is left out. Later blocks are set when these samples reach them.
   *
   * @throws TypeError or RangeError, before anything is sent, as the block's `set` throws
   */
  setAt(block: number, options: Readonly<Record<string, unknown>>, frame?: number): void;
  /** Returns all blocks to the state they began with. */
  reset(): void;
  /** Newest meter values; undefined before the first. */
  getMeters(): Meters | undefined;
  /** Called with what the audio thread refused, or why it stopped. */
  onError: ((message: string) => void) | undefined;
}

/**
 * Makes a node that runs a chain of blocks. `addProcessors` must have ended before.
 *
 * @param chain - blocks as a plan writes them; a `key` of any name means the second input
 * @throws TypeError or RangeError with the path of the first fault: `chain[2].attackMs must be 0 to 1000, got -3`
 */
export function createNode(
  context: BaseAudioContext,
  chain: readonly object[],
  options: ChainNodeOptions = {},
): ChainNode {
  const { channels, keyChannels } = requireShape('createNode', options);
  const { automation = [] } = options;
  const meters = meterSettings('createNode', options.meterFrames, meterLength(chain.length));
  // A twin that never hears a sample: it refuses on this side what the audio thread would refuse, and knows the latency.
  const twin = createBlockChain(chain, { sampleRateHz: context.sampleRate, channels }, keyChannels);
  for (const { block, options } of automation) twin.chain.check({ [block]: options });
  const node = newNode(context, CHAIN_PROCESSOR, { chain, channels, keyChannels, automation, meters });
  return chainNode(node, twin, meters);
}

/**
 * Makes a node of one block whose parameters are AudioParams: `node.parameters.get('thresholdDb')`. They are read once
 * per quantum and glide, as a block's parameters do, for 20 ms. `addProcessors` must have ended before.
 *
 * @param block - the block as a plan writes it; values of AudioParams are rounded to float32
 * @throws TypeError or RangeError with the path of the first fault: `chain[0].attackMs must be 0 to 1000, got -3`
 */
export function createBlockNode(
  context: BaseAudioContext,
  block: Readonly<Record<string, unknown>>,
  options: NodeOptions = {},
): AudioWorkletNode {
  const { channels, keyChannels } = requireShape('createBlockNode', options);
  const { sampleRate } = context;
  const type = requireName('type', requireObject('block', block).type, Object.keys(blockTypes));
  createBlockChain([block], { sampleRateHz: sampleRate, channels }, keyChannels); // refuses what is to be refused
  const table = blockTypes[type].parameters;
  const rounded: Record<string, unknown> = { ...block };
  const parameterData: Record<string, number> = {};
  for (const { name, defaultValue } of paramDescriptors(table, sampleRate)) {
    parameterData[name] = Math.fround(Number(block[name] ?? defaultValue));
  }
  for (const [name, row] of automated(table)) rounded[name] = parameterValue(row, parameterData[name], sampleRate);
  return newNode(
    context,
    blockProcessor(type),
    { chain: [rounded], channels, keyChannels, automation: [] },
    parameterData,
  );
}

/**
 * Ends a node of {@link createNode}, {@link createBlockNode} or `createMixerNode` for good. Until then its processor runs, connected or not,
 * so that it can be connected again; a page that makes nodes again and again closes those that it drops.
 */
export function closeNode(node: AudioWorkletNode): void {
  node.disconnect();
  node.port.postMessage({ kind: 'close' } satisfies ChainMessage);
}

function newNode(
  context: BaseAudioContext,
  name: string,
  settings: ChainSettings,
  parameterData: Record<string, number> = {},
): AudioWorkletNode {
  try {
    return new AudioWorkletNode(context, name, {
      numberOfInputs: 2,
      numberOfOutputs: 1,
      outputChannelCount: [settings.channels],
      channelCount: settings.channels,
      channelCountMode: 'explicit',
      parameterData,
      processorOptions: settings,
    });
  } catch (cause) {
    throw new Error(`${name} could not be made: await addProcessors(context) first`, { cause });
  }
}

function chainNode(
  node: AudioWorkletNode,
  twin: ReturnType<typeof createBlockChain>,
  meters: MeterSettings | undefined,
): ChainNode {
  const send = (message: ChainMessage) => node.port.postMessage(message);
  const link = new NodeLink(node, meterLength(twin.blocks.length), meters, (message) => made.onError?.(message));
  const made: ChainNode = {
    node,
    getLatencySamples: () => twin.chain.latencySamples,
    getTailSamples: () => twin.chain.tailSamples,
    setAt: (block, options, frame = 0) => {
      twin.chain.check({ [block]: options });
      twin.blocks[block].set(options);
      send({ kind: 'set', block, options, frame });
    },
    reset: () => send({ kind: 'reset' }),
    getMeters: () => {
      const values = link.read();
      return values && readMeterValues(values);
    },
    onError: undefined,
  };
  return made;
}

function requireShape(owner: string, { channels = 2, keyChannels = channels }: NodeOptions) {
  return {
    channels: requireInteger(`${owner}: channels`, channels, 1, 32),
    keyChannels: requireInteger(`${owner}: keyChannels`, keyChannels, 1, 32),
  };
}
