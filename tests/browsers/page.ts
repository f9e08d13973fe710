/**
 * Runs in the browser under test: bundled with what it tests, driven by `window.run(name)`.
 */
import { alignInputs } from '../../src/mix/align-inputs.ts';
import { parsePlan } from '../../src/mix/parse-plan.ts';
import { demoPlan } from '../../src/node/demo-plan.ts';
import { addProcessors, createBlockNode, createMixerNode, createNode } from '../../src/worklet/index.ts';
import { type BrowserCase, browserCases, burstsOf, SAMPLE_RATE_HZ } from './cases.ts';
import { demoInputs, demoKit, renderDemo } from './demo.ts';
import { digest } from './digest.ts';

declare global {
  interface Window {
    run: (name: string) => Promise<unknown>;
  }
}

function bufferOf(context: BaseAudioContext, channels: readonly Float32Array[]): AudioBuffer {
  const buffer = context.createBuffer(channels.length, channels[0].length, SAMPLE_RATE_HZ);
  channels.forEach((x, c) => {
    buffer.copyToChannel(x as Float32Array<ArrayBuffer>, c);
  });
  return buffer;
}

function play(context: BaseAudioContext, channels: readonly Float32Array[]): AudioBufferSourceNode {
  const source = context.createBufferSource();
  source.buffer = bufferOf(context, channels);
  source.start();
  return source;
}

async function runCase({ chain, channels, frames, sets }: BrowserCase): Promise<string> {
  const context = new OfflineAudioContext(channels, frames, SAMPLE_RATE_HZ);
  await addProcessors(context);
  const { node } = createNode(context, chain, { channels, automation: sets });
  play(context, burstsOf(channels, frames, 1)).connect(node, 0, 0);
  play(context, burstsOf(channels, frames, 2)).connect(node, 0, 1);
  node.connect(context.destination);
  const buffer = await context.startRendering();
  return digest(Array.from({ length: channels }, (_, c) => buffer.getChannelData(c)));
}

/** One block with AudioParams, one of which jumps at a quantum. */
async function runParams(): Promise<string> {
  const frames = 128 * 100;
  const context = new OfflineAudioContext(2, frames, SAMPLE_RATE_HZ);
  await addProcessors(context);
  const node = createBlockNode(context, { type: 'compressor', thresholdDb: -30, ratio: 3 });
  node.parameters.get('thresholdDb')?.setValueAtTime(-10, (128 * 40) / SAMPLE_RATE_HZ);
  play(context, burstsOf(2, frames, 1))
    .connect(node)
    .connect(context.destination);
  const buffer = await context.startRendering();
  return digest([0, 1].map((c) => buffer.getChannelData(c)));
}

/** The demo plan live: as many frames as the recordings have, from where the rendered mix begins. */
async function mixLive(): Promise<string> {
  const kit = demoKit();
  const alignment = alignInputs(parsePlan(demoPlan), demoInputs(kit));
  const context = new OfflineAudioContext(2, kit.frames + 20_000, kit.sampleRateHz);
  await addProcessors(context);
  const mixer = createMixerNode(context, demoPlan, { alignment });
  for (const [name, samples] of Object.entries(kit.microphones)) {
    play(context, [samples]).connect(mixer.node, 0, mixer.inputs.indexOf(name));
  }
  mixer.node.connect(context.destination);
  const buffer = await context.startRendering();
  const late = mixer.getLatencySamples() - alignment.leadSamples;
  return digest([0, 1].map((c) => buffer.getChannelData(c).subarray(late, late + kit.frames)));
}

async function runInWorker(): Promise<string> {
  const worker = new Worker('/worker.js');
  try {
    return await new Promise<string>((resolve, reject) => {
      worker.onmessage = ({ data }: MessageEvent<string>) => {
        resolve(data);
      };
      worker.onerror = ({ message }) => {
        reject(new Error(message));
      };
    });
  } finally {
    worker.terminate();
  }
}

/** Settings and meters of a running context: messages there and back. */
async function runLive(): Promise<unknown> {
  // No device: its absence on a server must not stop the clock.
  const options: AudioContextOptions & { sinkId: object } = { sampleRate: SAMPLE_RATE_HZ, sinkId: { type: 'none' } };
  const context = new AudioContext(options);
  await addProcessors(context);
  const chain = createNode(
    context,
    [{ type: 'gate' }, { type: 'compressor', thresholdDb: -20, ratio: 4, releaseMs: 10 }],
    {
      meterFrames: 1024,
    },
  );
  const said: string[] = [];
  chain.onError = (message) => said.push(message);
  const tone = context.createConstantSource();
  tone.offset.value = 0.5;
  tone.connect(chain.node).connect(context.destination);
  tone.start();
  await context.resume();
  const meters = async () => {
    for (let tries = 0; tries < 400; tries++) {
      await new Promise((resolve) => setTimeout(resolve, 50));
      const read = chain.getMeters();
      if (read && read.frame > 24000 && read.peakIn > 0.4) return read;
    }
    return undefined;
  };
  const before = await meters();
  chain.setAt(1, { thresholdDb: 0, makeupDb: 0 });
  await context.suspend();
  await context.resume();
  await new Promise((resolve) => setTimeout(resolve, 400));
  const after = await meters();
  await context.close();
  return { shared: globalThis.crossOriginIsolated, before, after, said };
}

/** What the page says to a chain that is not in order, and to a context that has not loaded the processors. */
async function refusals(): Promise<string[]> {
  const said: string[] = [];
  const tell = (error: unknown) => said.push(error instanceof Error ? error.message : String(error));
  const bare = new OfflineAudioContext(1, 128, SAMPLE_RATE_HZ);
  try {
    createNode(bare, [{ type: 'gain' }]);
  } catch (error) {
    tell(error);
  }
  await addProcessors(bare, '/nothing-here.js').catch(tell);
  await addProcessors(bare);
  await addProcessors(bare); // again does no harm
  for (const attempt of [
    () => createNode(bare, [{ type: 'gain' }, { type: 'gate', attackMs: -3 }]),
    () => createNode(bare, [{ type: 'gain' }]).setAt(0, { gainDb: 1000 }),
    () => createBlockNode(bare, { type: 'gat' }),
    () => createMixerNode(bare, demoPlan),
    () => createMixerNode(bare, { ...demoPlan, channels: { close: { input: 'kickIn', gainDb: 99 } } }),
  ]) {
    try {
      attempt();
    } catch (error) {
      tell(error);
    }
  }
  return said;
}

/** Whether the processors can be loaded, embedded and by their address. */
async function loading(): Promise<string[]> {
  const said: string[] = [];
  for (const url of [undefined, '/processors.js']) {
    await addProcessors(new OfflineAudioContext(1, 128, SAMPLE_RATE_HZ), url).then(
      () => said.push('loaded'),
      (error: unknown) => said.push((error as Error).message),
    );
  }
  return said;
}

window.run = async (name) => {
  if (name === 'demo in the page') return digest(renderDemo());
  if (name === 'demo in a worker') return runInWorker();
  if (name === 'demo live') return mixLive();
  if (name === 'parameters') return runParams();
  if (name === 'live') return runLive();
  if (name === 'refusals') return refusals();
  if (name === 'loading') return loading();
  const found = browserCases.find((one) => one.name === name);
  if (!found) throw new Error(`no case ${name}`);
  return runCase(found);
};
