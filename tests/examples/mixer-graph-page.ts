/**
 * Runs in the browser under test: the graph of the web mixer in a context that renders as fast as it can.
 */
import { createGraph } from '../../examples/web-mixer/src/graph.ts';
import { demoPlan } from '../../examples/web-mixer/src/plan.ts';
import { alignInputs } from '../../src/mix/align-inputs.ts';
import { parsePlan } from '../../src/mix/parse-plan.ts';
import { demoInputs, demoKit } from '../browsers/demo.ts';
import { digest } from '../browsers/digest.ts';

/** SHA-256 of what the page plays of the demo, from where the rendered mix begins. */
async function playDemo(): Promise<string> {
  const kit = demoKit();
  const plan = demoPlan();
  const alignment = alignInputs(parsePlan(plan), demoInputs(kit));
  const context = new OfflineAudioContext(2, kit.frames + 20_000, kit.sampleRateHz);
  const faults: string[] = [];
  const session = { frames: kit.frames, tracks: kit.microphones, alignment, notes: [] };
  const graph = await createGraph(context, plan, session, (message) => faults.push(message));
  graph.master.gain.value = 1;
  graph.start(false);
  const buffer = await context.startRendering();
  if (faults.length > 0) throw new Error(faults.join(' '));
  const late = graph.mixer.getLatencySamples() - alignment.leadSamples;
  return digest([0, 1].map((c) => buffer.getChannelData(c).subarray(late, late + kit.frames)));
}

/** Frames by which a click of an input that nothing moves is late: processed, then unprocessed. */
async function latenesses(): Promise<number[]> {
  const click = Float32Array.from({ length: 4800 }, (_, i) => (i === 1000 ? 0.5 : 0));
  const session = {
    frames: click.length,
    tracks: { roomLeft: click },
    alignment: { moves: { kickIn: { delaySamples: -12.5, polarity: 1 as const } }, leadSamples: 60 },
    notes: [],
  };
  const found: number[] = [];
  for (const side of ['processed', 'unprocessed'] as const) {
    const context = new OfflineAudioContext(2, 9600, 48000);
    const graph = await createGraph(context, demoPlan(), session, () => undefined);
    graph.master.gain.value = 1;
    graph.processed.gain.value = side === 'processed' ? 1 : 0;
    graph.unprocessed.gain.value = side === 'unprocessed' ? 1 : 0;
    graph.start(false);
    const y = (await context.startRendering()).getChannelData(0);
    found.push(y.findIndex((v) => Math.abs(v) > 1e-3) - 1000 - graph.mixer.getLatencySamples());
  }
  return found;
}

Object.assign(globalThis, {
  run: (name: string) => (name === 'demo' ? playDemo() : latenesses()),
});
