/**
 * A live context runs the web mixer for a minute: no quantum missed, no garbage collected, and the CPU it takes; writes
 * `docs/proofs/live.md`. Chromium's own trace tells all of it.
 */
import { cpus, loadavg } from 'node:os';
import { join, resolve } from 'node:path';
import type { Browser, Page } from 'playwright-core';
import { build } from 'vite';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { launchChromium } from '../../scripts/chromium.mjs';
import { ISOLATED } from '../browsers/serve.ts';
import { serveFolder, type ServedFolder } from '../examples/serve-folder.ts';
import { writeProofPage } from '../support/proof-page.ts';

const EXAMPLE = resolve(import.meta.dirname, '../../examples/web-mixer');
const SECONDS = 60;
const CONTROL_SECONDS = 5;
/**
 * Compiling is over by then, and the engine has tidied up, of its own accord, what interpreting and compiling left behind:
 * it does so about half a minute after the last allocations.
 */
const WARM_UP_MS = 45_000;
const QUANTUM = 128;
const RATE = 48000;
/** What a context without a device asks for at a time: 480 frames. */
const REQUEST_MS = 10;
const CATEGORIES = ['-*', '__metadata', 'webaudio', 'v8', 'devtools.timeline', 'disabled-by-default-v8.gc'];

interface TraceEvent {
  readonly name: string;
  readonly ph: string;
  readonly pid: number;
  readonly tid: number;
  /** Begin, duration, and duration in CPU time of the thread, microseconds. */
  readonly ts: number;
  readonly dur?: number;
  readonly tdur?: number;
  readonly args?: { readonly name?: string; readonly frames?: number };
}

/** Traces a page that plays. */
async function trace(browser: Browser, page: Page, seconds: number): Promise<readonly TraceEvent[]> {
  await browser.startTracing(page, { categories: CATEGORIES });
  await page.waitForTimeout(1000 * seconds);
  const bytes = await browser.stopTracing();
  return (JSON.parse(bytes.toString()) as { traceEvents: TraceEvent[] }).traceEvents;
}

const count = (events: readonly TraceEvent[], wanted: string) =>
  events.filter(({ name, ph }) => name === wanted && ph === 'X').length;

/** What happened in the audio thread. */
function read(events: readonly TraceEvent[]) {
  const audio = events.find(
    ({ name, args }) => name === 'thread_name' && args?.name === 'Realtime AudioWorklet thread',
  );
  if (!audio) throw new Error('the trace has no audio thread');
  const own = events.filter(({ pid, tid }) => pid === audio.pid && tid === audio.tid);
  const quanta = own.filter(({ name, ph }) => name === 'RealtimeAudioDestinationHandler::Render' && ph === 'X');
  const requests = own.filter(({ name, ph }) => name === 'AudioDestination::RequestRender' && ph === 'X');
  const callbacks = events.filter(({ name, ph }) => name === 'AudioDestination::Render' && ph === 'X');
  const first = callbacks[0],
    last = callbacks[callbacks.length - 1];
  const seconds = (last.ts - first.ts) / 1e6;
  const asked = callbacks.slice(1).reduce((sum, { args }) => sum + (args?.frames ?? NaN), 0);
  const cpuMs = quanta.map(({ tdur = NaN }) => tdur / 1000).sort((a, b) => a - b);
  const requestMs = requests.map(({ tdur = NaN }) => tdur / 1000);
  return {
    seconds,
    quanta: quanta.length,
    /** Frames of the wall clock that the output did not ask for, and frames it asked for that were not rendered. */
    notAsked: seconds * RATE - asked,
    notRendered: asked - quanta.length * QUANTUM,
    cpuShare: requests.reduce((sum, { tdur = NaN }) => sum + tdur, 0) / 1e6 / seconds,
    medianMs: cpuMs[cpuMs.length >> 1],
    thousandthMs: cpuMs[Math.floor(0.999 * cpuMs.length)],
    longestMs: cpuMs[cpuMs.length - 1],
    longestRequestMs: Math.max(...requestMs),
    tooLong: requestMs.filter((ms) => ms > REQUEST_MS).length,
    /** Collections because new objects have filled their space, and of the whole heap. */
    scavenges: count(own, 'V8.GC_SCAVENGER'),
    compactions: count(own, 'V8.GC_MARK_COMPACTOR'),
  };
}

describe('a live context', () => {
  let served: ServedFolder, browser: Browser, page: Page;
  const faults: string[] = [];

  beforeAll(async () => {
    await build({ configFile: join(EXAMPLE, 'vite.config.ts'), logLevel: 'error' });
    served = await serveFolder(join(EXAMPLE, 'dist'), ISOLATED); // meters by shared memory
    browser = await launchChromium();
    page = await browser.newPage();
    page.on('pageerror', (error) => faults.push(error.message));
    // No device: its absence must not change the clock.
    await page.addInitScript(() => {
      const scope = globalThis as unknown as { AudioContext: new (options: object) => object };
      const { AudioContext: Context } = scope;
      scope.AudioContext = class extends Context {
        constructor(options: object) {
          super({ ...options, sinkId: { type: 'none' } });
        }
      };
    });
  });
  afterAll(async () => {
    await browser.close();
    served.close();
  });

  it('plays the demo of twelve strips for a minute, and collects no garbage where a control does', async () => {
    await page.goto(served.url);
    await page.locator('#play:enabled').click({ timeout: 300_000 });
    await page.getByRole('button', { name: 'Stop' }).waitFor();
    await page.waitForTimeout(WARM_UP_MS);
    const live = read(await trace(browser, page, SECONDS));

    // The control: a processor that makes an object per frame.
    await page.route('**/control', (route) => route.fulfill({ contentType: 'text/html', body: '<!doctype html>' }));
    await page.goto(`${served.url}control`, { timeout: 120_000 });
    await page.evaluate(async (rate) => {
      const context = new AudioContext({ sampleRate: rate });
      const text = `registerProcessor('wasteful', class extends AudioWorkletProcessor {
        process() { this.held = Array.from({ length: 128 }, (_, i) => ({ i })); return true; }
      })`;
      await context.audioWorklet.addModule(URL.createObjectURL(new Blob([text], { type: 'text/javascript' })));
      new AudioWorkletNode(context, 'wasteful').connect(context.destination);
      await context.resume();
    }, RATE);
    const control = read(await trace(browser, page, CONTROL_SECONDS));

    const rows = [
      ['seconds', live.seconds.toFixed(1)],
      ['quanta rendered', live.quanta],
      ['frames that the output asked for and did not get', Math.max(0, Math.round(live.notRendered))],
      [`requests that took more CPU time than their ${REQUEST_MS} ms`, live.tooLong],
      ['CPU time of a request, longest, ms', live.longestRequestMs.toFixed(3)],
      ['CPU time of a quantum (2.667 ms), median, ms', live.medianMs.toFixed(3)],
      ['the same, 99.9th percentile, ms', live.thousandthMs.toFixed(3)],
      ['the same, longest, ms', live.longestMs.toFixed(3)],
      ['frames for which the clock itself came too late', Math.max(0, Math.round(live.notAsked))],
      ['load average of the machine, per core', (loadavg()[0] / cpus().length).toFixed(1)],
      ['share of one core', `${(100 * live.cpuShare).toFixed(1)} %`],
      ['garbage collections in the audio thread, because new objects filled their space', live.scavenges],
      [`the same, of the control, in ${CONTROL_SECONDS} s`, control.scavenges],
      ['collections of the whole heap in the audio thread', live.compactions],
    ] as const;
    for (const row of rows) console.log(row.join(': '));
    writeProofPage(
      'live',
      'A live mix',
      [
        'The web mixer in Chromium: twelve microphones, 21 strips, meters, and the unprocessed side beside it, in a context',
        'without a device, which a clock of the system drives, in an isolated page. Every 10 ms the clock asks for 480 frames.',
        'A quantum would be missed if frames that it asks for were not there, or if rendering them took longer than they',
        'last. (The counter of frames that a processor sees goes on without a gap whatever happens, so it can prove',
        'nothing.) Times are CPU time of the audio thread: what other programs take is not in it. Where they keep the clock',
        'itself from its turn, frames are lost that nobody was asked for; they are counted by themselves.',
        '',
        'Garbage shows as collections of new objects. The control is a processor that makes an object per frame; its',
        'collections show that the trace sees them. The measurement begins 45 s after the sound: in the first three seconds,',
        'while the code is still interpreted, numbers are objects to the engine and are collected, for some hundredths of a',
        'millisecond at a time; about half a minute later the engine tidies its heap once or twice of its own accord.',
      ].join('\n'),
      [{ title: `Chromium ${browser.version()}, ${cpus()[0].model}`, header: ['figure', 'value'], rows }],
    );

    expect(faults).toEqual([]);
    expect(live.seconds).toBeGreaterThan(SECONDS - 1);
    expect(control.scavenges).toBeGreaterThan(0);
    expect(live.scavenges).toBe(0);
    expect(live.tooLong).toBe(0);
    expect(live.notRendered).toBeLessThanOrEqual(2 * QUANTUM); // at the ends of the trace
  });
});
