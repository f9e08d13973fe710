/**
 * The audio graph of the page, in a live or an offline context.
 *
 *     a source per recording --+--> mixer node of the plan ----------------> gain --+--> master --> destination
 *                              +--> mixer node without processing --> delay --> gain --+
 *
 * The delay makes both equally late. Turning one gain up and the other down compares them at one loudness.
 *
 * @module
 */
import { addProcessors, closeNode, createMixerNode, createNode, type MixerNode } from 'batterhead/worklet';
import { type PlanJson, switchable, unprocessed } from './plan.ts';
import type { Session } from './session.ts';

/** Frames between two sets of meter values: about fifteen a second. */
const METER_FRAMES = 3072;

/** A running mix. */
export interface Graph {
  readonly mixer: MixerNode;
  readonly processed: GainNode;
  readonly unprocessed: GainNode;
  /** Behind both; silent at first. */
  readonly master: GainNode;
  /** Sets a parameter by its path in the plan. @throws as `MixerNode.setAt` */
  set(target: string, value: number | boolean): void;
  /** Begins the recordings, all at one frame. */
  start(loop: boolean): void;
  /** Ends everything. */
  close(): void;
}

/** Makes the graph. @throws Error in words where the processors cannot be loaded */
export async function createGraph(
  context: BaseAudioContext,
  plan: PlanJson,
  session: Session,
  onError: (message: string) => void,
): Promise<Graph> {
  await addProcessors(context);
  const mixer = createMixerNode(context, switchable(plan), { alignment: session.alignment, meterFrames: METER_FRAMES });
  const bare = createMixerNode(context, unprocessed(plan));
  const delaySamples = mixer.getLatencySamples() - bare.getLatencySamples();
  const delay = createNode(context, [{ type: 'delay', delaySamples, maximumSamples: delaySamples }]);
  for (const node of [mixer, bare, delay]) node.onError = onError;

  const sources = mixer.inputs.map((name) => {
    const samples = session.tracks[name] ?? new Float32Array(session.frames);
    const buffer = new AudioBuffer({ length: session.frames, sampleRate: context.sampleRate });
    buffer.copyToChannel(samples as Float32Array<ArrayBuffer>, 0);
    const source = new AudioBufferSourceNode(context, { buffer });
    source.connect(mixer.node, 0, mixer.inputs.indexOf(name));
    source.connect(bare.node, 0, bare.inputs.indexOf(name));
    return source;
  });
  const processed = new GainNode(context, { gain: 1 });
  const dry = new GainNode(context, { gain: 0 });
  const master = new GainNode(context, { gain: 0 });
  mixer.node.connect(processed).connect(master);
  bare.node.connect(delay.node).connect(dry).connect(master);
  master.connect(context.destination);

  return {
    mixer,
    processed,
    unprocessed: dry,
    master,
    set: (target, value) => {
      mixer.setAt(target, value);
      if (!/\.(chain|sends)\[/.test(target)) bare.setAt(target, value);
    },
    start: (loop) => {
      for (const source of sources) {
        source.loop = loop;
        source.start();
      }
    },
    close: () => {
      for (const source of sources) source.disconnect();
      for (const { node } of [mixer, bare, delay]) closeNode(node);
      master.disconnect();
    },
  };
}
