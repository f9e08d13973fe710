/**
 * Contestants that are Web Audio engines: an offline context renders a graph, and the same without the graph; the
 * difference in processor time counts. One engine runs in Chromium, the other in Node.
 */
import type { Contestant } from '../contest.ts';
import { launchChromium } from '../../scripts/chromium.mjs';
import { answer, processorTime } from '../contestant.ts';
import { RATE_HZ } from '../sound.ts';

/** What a graph can do; `empty` passes the sound. */
export type GraphName = 'empty' | 'biquads' | 'compressor' | 'softClipper' | 'schroederReverb';

const RENDERED_SECONDS = 120;

/**
 * Renders so many seconds of a looped sound through a graph. It is sent to the page as text, so it stands alone, and its
 * context may be that of either engine.
 */
async function renderGraph(Context: any, graph: GraphName, channels: number, seconds: number): Promise<void> {
  const rate = 48000;
  const context = new Context(channels, rate * seconds, rate);
  const sound = context.createBuffer(channels, rate, rate);
  for (let c = 0; c < channels; c++) {
    const x = sound.getChannelData(c);
    for (let n = 0; n < rate; n++) x[n] = Math.exp(-(n % 12000) / 2900) * Math.sin(0.01 * n + 1e-7 * n * n * (c + 1));
  }
  const source = context.createBufferSource();
  source.buffer = sound;
  source.loop = true;
  source.start();
  const chain: any[] = [];
  if (graph === 'biquads') {
    for (const frequency of [100, 400, 1600, 6400]) {
      const filter = context.createBiquadFilter();
      filter.type = 'peaking';
      filter.frequency.value = frequency;
      filter.Q.value = Math.SQRT1_2;
      filter.gain.value = 3;
      chain.push(filter);
    }
  } else if (graph === 'compressor') {
    const compressor = context.createDynamicsCompressor();
    compressor.threshold.value = -20;
    compressor.ratio.value = 4;
    compressor.knee.value = 6;
    compressor.attack.value = 0.01;
    compressor.release.value = 0.1;
    chain.push(compressor);
  } else if (graph === 'softClipper') {
    const shaper = context.createWaveShaper();
    shaper.curve = Float32Array.from({ length: 4097 }, (_, i) => Math.tanh(4 * (i / 2048 - 1)));
    shaper.oversample = '4x';
    chain.push(shaper);
  }
  chain.reduce((from, to) => from.connect(to), source).connect(context.destination);
  if (graph === 'schroederReverb') {
    const merger = context.createChannelMerger(2);
    const splitter = context.createChannelSplitter(2);
    source.connect(splitter);
    for (let comb = 0; comb < 16; comb++) {
      const delay = context.createDelay(0.1);
      const feedback = context.createGain();
      delay.delayTime.value = 0.03 + 0.00097 * comb;
      feedback.gain.value = 0.8;
      splitter.connect(delay, comb % 2);
      delay.connect(feedback).connect(delay);
      delay.connect(merger, 0, comb % 2);
    }
    merger.connect(context.destination);
  }
  await context.startRendering();
}

/** Time of a graph over that of an empty one, in ns per sample and channel. */
async function roundOf(
  render: (graph: GraphName) => Promise<void>,
  time: () => number | Promise<number>,
  graph: GraphName,
  channels: number,
): Promise<number> {
  const began = await time();
  await render(graph);
  const between = await time();
  await render('empty');
  return (between - began - ((await time()) - between)) / (RENDERED_SECONDS * RATE_HZ * channels);
}

/** What the process of a graph in Node does. */
export async function serveGraph(graph: GraphName, channels: number): Promise<void> {
  const { OfflineAudioContext } = await import('node-web-audio-api');
  const render = (name: GraphName) => renderGraph(OfflineAudioContext, name, channels, RENDERED_SECONDS);
  await render(graph);
  await answer({ round: () => roundOf(render, processorTime, graph, channels) });
}

/** A page of Chromium, for any number of contests. */
export interface ChromiumPage {
  readonly version: string;
  contestant(graph: GraphName, channels: number): Contestant;
  close(): Promise<void>;
}

/** Starts Chromium. */
export async function openChromium(): Promise<ChromiumPage> {
  const browser = await launchChromium();
  const page = await browser.newPage();
  const session = await browser.newBrowserCDPSession();
  const time = async () => {
    const { processInfo } = await session.send('SystemInfo.getProcessInfo');
    const renderers = processInfo.filter(({ type }) => type === 'renderer');
    return 1e9 * renderers.reduce((sum, { cpuTime }) => sum + cpuTime, 0);
  };
  await page.addScriptTag({ content: `window.renderGraph = ${renderGraph.toString()}` });
  const render = (graph: GraphName, channels: number) =>
    page.evaluate(
      ([name, count, seconds]) =>
        (globalThis as any).renderGraph((globalThis as any).OfflineAudioContext, name, count, seconds) as Promise<void>,
      [graph, channels, RENDERED_SECONDS] as const,
    );
  return {
    version: browser.version(),
    contestant: (graph, channels) => ({
      round: () => roundOf((name) => render(name, channels), time, graph, channels),
      close: () => {},
    }),
    close: () => browser.close(),
  };
}
