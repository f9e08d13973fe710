/**
 * Mixer node: the mix of a plan in an audio graph.
 *
 *     kick   --> input 0 |                                                    |
 *     snare  --> input 1 | channels -> buses, sends, keys, delays -> mix bus  | --> left and right
 *     ...        ...     |                                                    |
 *
 * One node holds all strips, and they are those that `renderMix` runs: what it plays is, to the bit, what is rendered,
 * `getLatencySamples` later.
 *
 * @module
 */
import { type AppliedMoves, leadOf } from '../alignment/moves.ts';
import { requireInteger } from '../core/check.ts';
import { leavesMovesOpen } from '../mix/alignment-plan.ts';
import { resolveAutomation } from '../mix/automation.ts';
import { parsePlan } from '../mix/parse-plan.ts';
import type { AutomationPlan, MixPlan } from '../mix/plan.ts';
import { stripsOf } from '../mix/plan-strips.ts';
import type { ImpulseResponse } from '../reverb/convolution-reverb.ts';
import type { MixerMessage, MixerSettings } from './messages.ts';
import { mixerLayout, type MixerMeters, readMixerMeters } from './mixer-meters.ts';
import { MixerRunner } from './mixer-runner.ts';
import { MIXER_PROCESSOR } from './names.ts';
import { meterSettings, NodeLink } from './node-link.ts';

/** How a mixer node is made. */
export interface MixerNodeOptions {
  /** Channels of each input of the plan, as a file would have them; 1 unless given. */
  readonly inputChannels?: Readonly<Record<string, number>> | undefined;
  /**
   * Moves of the inputs, as `alignInputs` finds them in the whole recordings. Needed where the plan leaves a move to be
   * found: nothing can be found in what has not been played yet.
   */
  readonly alignment?: AppliedMoves | undefined;
  /** Impulse responses, by the names of the inputs that hold them. */
  readonly impulses?: Readonly<Record<string, ImpulseResponse>> | undefined;
  /**
   * Frame of the context at which the recordings begin, 0 unless given: the plan's automation counts from there, and what
   * comes in earlier is not heard.
   */
  readonly startFrame?: number | undefined;
  /** Frames between two sets of meter values; no meters unless given. */
  readonly meterFrames?: number | undefined;
}

/** A mix in an audio graph. */
export interface MixerNode {
  /** The node to connect: an input for each recording, one output of two channels. */
  readonly node: AudioWorkletNode;
  /** Names of the plan's inputs in the order of the node's: `source.connect(node, 0, inputs.indexOf('kick'))`. */
  readonly inputs: readonly string[];
  /** Delay from a recording that is not moved to the output, whole samples. */
  getLatencySamples(): number;
  /** How long the mix sounds after its inputs and its latency, in samples; may be Infinity. */
  getTailSamples(): number;
  /**
   * Sets what a plan's automation can set, for the samples that come in at `frame` of the context, exactly; for the next
   * ones if `frame` has passed or is left out.
   *
   * @param target - `channels.snare.gainDb`, `buses.drums.chain[1].thresholdDb`, ...
   * @throws TypeError or RangeError, before anything is sent, for a target or a value that a plan could not have
   */
  setAt(target: string, value: number | boolean, frame?: number): void;
  /** Newest meter values; undefined before the first. */
  getMeters(): MixerMeters | undefined;
  /** Called with why the audio thread stopped. */
  onError: ((message: string) => void) | undefined;
}

/**
 * Makes a node that runs the mix of a plan. `addProcessors` must have ended before.
 *
 * @param json - the plan as JSON
 * @throws TypeError or RangeError with the path of the first fault: `buses.drums.chain[2].attackMs must be 0 to 1000, got -3`;
 *   also for a plan with `hits`, which are found in whole recordings and change them before they are played
 */
export function createMixerNode(context: BaseAudioContext, json: unknown, options: MixerNodeOptions = {}): MixerNode {
  const plan = parsePlan(json);
  if (plan.hits) {
    throw new RangeError(
      'createMixerNode: hits must be left out of the plan: what they do is done to whole recordings',
    );
  }
  const layout = mixerLayout(plan);
  const settings: MixerSettings = {
    plan,
    inputs: liveInputs(plan).map((name) => ({
      name,
      channels: requireInteger(
        `createMixerNode: inputChannels.${name}`,
        options.inputChannels?.[name] ?? 1,
        1,
        MOST_CHANNELS,
      ),
    })),
    alignment: alignmentOf(plan, options.alignment),
    impulses: impulsesOf(plan, options.impulses ?? {}),
    startFrame: requireInteger('createMixerNode: startFrame', options.startFrame ?? 0, 0, Number.MAX_SAFE_INTEGER),
    meters: meterSettings('createMixerNode', options.meterFrames, layout.length),
  };
  // A twin that never hears a sample: it refuses on this side what the audio thread would refuse, and knows the latency.
  const { latencySamples, tailSamples } = new MixerRunner(settings, context.sampleRate);
  const node = newNode(context, settings);
  const link = new NodeLink(node, layout.length, settings.meters, (message) => made.onError?.(message));
  const sent = new Map<string, AutomationPlan>(); // the newest value of each target
  const made: MixerNode = {
    node,
    inputs: settings.inputs.map(({ name }) => name),
    getLatencySamples: () => latencySamples,
    getTailSamples: () => tailSamples,
    setAt: (target, value, frame = 0) => {
      const others = [...sent.values()].filter((event) => event.target !== target);
      const event = { target, sample: 0, value };
      const resolved = resolveAutomation(plan, context.sampleRate, [...others, event], () => 'setAt');
      const { target: found, event: due } = resolved[resolved.length - 1];
      sent.delete(target);
      sent.set(target, event);
      node.port.postMessage({
        kind: 'value',
        strip: found.strip,
        block: found.kind === 'block' ? found.index : -1,
        frame,
        event: { ...due, send: found.kind === 'send' ? found.index : -1 },
      } satisfies MixerMessage);
    },
    getMeters: () => {
      const values = link.read();
      return values && readMixerMeters(values, layout);
    },
    onError: undefined,
  };
  return made;
}

/** What the Web Audio API allows an input to have. */
const MOST_CHANNELS = 32;

/** Inputs that are heard, in the order of the plan's channels. */
function liveInputs(plan: MixPlan): readonly string[] {
  return [...new Set(Object.values(plan.channels).map(({ input }) => input))];
}

function alignmentOf({ alignment }: MixPlan, given: AppliedMoves | undefined): AppliedMoves {
  if (given) return { moves: given.moves, leadSamples: given.leadSamples };
  if (leavesMovesOpen(alignment)) {
    throw new RangeError(
      'createMixerNode: alignment must be given, because the plan leaves moves to be found: see alignInputs',
    );
  }
  return { moves: alignment.moves, leadSamples: leadOf(alignment.moves) };
}

function impulsesOf(
  plan: MixPlan,
  given: Readonly<Record<string, ImpulseResponse>>,
): Readonly<Record<string, ImpulseResponse>> {
  const named = stripsOf(plan).flatMap(({ plan: { chain } }) => chain.flatMap(({ impulse }) => impulse ?? []));
  const missing = named.find((name) => !Object.hasOwn(given, name));
  if (missing !== undefined) throw new RangeError(`createMixerNode: impulses.${missing} must be given`);
  return Object.fromEntries(named.map((name) => [name, given[name]]));
}

function newNode(context: BaseAudioContext, settings: MixerSettings): AudioWorkletNode {
  try {
    return new AudioWorkletNode(context, MIXER_PROCESSOR, {
      numberOfInputs: settings.inputs.length,
      numberOfOutputs: 1,
      outputChannelCount: [2],
      channelCount: Math.max(...settings.inputs.map(({ channels }) => channels)),
      channelCountMode: 'explicit',
      channelInterpretation: 'discrete', // the channels of a file, not loudspeakers
      processorOptions: settings,
    });
  } catch (cause) {
    throw new Error(`${MIXER_PROCESSOR} could not be made: await addProcessors(context) first`, { cause });
  }
}
