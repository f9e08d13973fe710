/**
 * The page of a report in Chromium: opened from disk, in light and in dark, with scripts and without.
 */
import { createHash } from 'node:crypto';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import type { Browser, BrowserContextOptions, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { measureLoudness } from '../../src/meters/loudness.ts';
import { mixPlanFile } from '../../src/node/mix-plan-file.ts';
import type { MixFileReport } from '../../src/report/mix-file-report.ts';
import { PLAYER_DIGEST, PLAYER_SCRIPT } from '../../src/report/player.ts';
import { decodeWav } from '../../src/wav/decode-wav.ts';
import { launchChromium } from '../../scripts/chromium.mjs';
import { smallSession } from '../support/small-session.ts';

const AXE = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');
const WITHOUT_AUDIO_BYTES = 3_000_000;
/** Where the volume stands at first: 40 % of the way, -16 dB. */
const VOLUME = 0.4 ** 2;

describe('the page of a report', () => {
  let folder = '';
  let report: MixFileReport;
  let browser: Browser;
  let html = '';

  beforeAll(async () => {
    folder = mkdtempSync(join(tmpdir(), 'batterhead-page-'));
    writeFileSync(join(folder, 'plan.json'), JSON.stringify(smallSession(folder)));
    report = await mixPlanFile(join(folder, 'plan.json'));
    html = readFileSync(join(folder, 'report.html'), 'utf8');
    browser = await launchChromium();
  }, 120_000);
  afterAll(async () => {
    await browser.close();
    rmSync(folder, { recursive: true, force: true });
  });

  /** Opens the page and collects what it says and asks for. */
  async function open(options: BrowserContextOptions = {}, before = ''): Promise<{ page: Page; said: string[] }> {
    const context = await browser.newContext({ viewport: { width: 1280, height: 900 }, bypassCSP: false, ...options });
    const page = await context.newPage();
    const said: string[] = [];
    page.on('console', (message) => said.push(`console: ${message.text()}`));
    page.on('pageerror', (error) => said.push(`error: ${error.message}`));
    page.on('request', (request) => {
      if (!/^(data|file):/.test(request.url())) said.push(`request: ${request.url()}`);
      if (request.url().startsWith('file:') && request.resourceType() !== 'document')
        said.push(`file: ${request.url()}`);
    });
    if (before !== '') await page.addInitScript(before);
    await page.goto(pathToFileURL(join(folder, 'report.html')).href);
    return { page, said };
  }

  it('opens without an error, asks for nothing, and has every picture and section', async () => {
    const { page, said } = await open();
    const dynamics = Object.values(report.mix.strips).flatMap(({ chain }) => chain.filter(({ gain }) => gain));
    // Loudness, spectrum, margin and map, one for each dynamics block and each pair.
    const expected = 4 + dynamics.length + report.mix.alignment.pairs.length;
    const drawn = await page.$$eval('svg.plot', (pictures) =>
      pictures.map((picture) => {
        const { width, height } = picture.getBoundingClientRect();
        return { width, height, marks: picture.querySelectorAll('polyline,polygon,path,circle').length };
      }),
    );
    expect(dynamics.length).toBe(3);
    expect(drawn).toHaveLength(expected);
    expect(drawn.filter(({ width, height, marks }) => width < 300 || height < 100 || marks === 0)).toEqual([]);
    const headings = await page.$$eval('h2', (all) => all.map((one) => one.textContent));
    expect(headings).toEqual([
      'Worth a look',
      'Listen',
      'Before and after',
      'References',
      'In the song',
      'Channels and buses',
      'Alignment',
      'Hits',
      'Recordings and files',
    ]);
    const shown = await page.$$eval('.warnings li span', (all) => all.map((one) => one.textContent));
    expect(shown).toEqual(report.warnings.map(({ text }) => text));
    const links = await page.$$eval('nav a', (all) =>
      all.map((one) => document.querySelector((one as HTMLAnchorElement).hash) !== null),
    );
    expect(links).toEqual(headings.map(() => true));
    const ids = await page.$$eval('[id]', (all) => all.map((one) => one.id));
    expect(ids.filter((id, i) => ids.indexOf(id) !== i)).toEqual([]);
    expect(await page.textContent('body')).not.toMatch(/NaN|Infinity|undefined/);
    expect(said).toEqual([]);
    await page.context().close();
  });

  it('is as wide as the window, on a telephone too, and below 3 MB without its audio', async () => {
    for (const width of [360, 1280]) {
      const { page } = await open({ viewport: { width, height: 800 } });
      expect(await page.evaluate(() => document.documentElement.scrollWidth)).toBe(width);
      await page.context().close();
    }
    const bare = html.replaceAll(/base64,[\w+/=]+/g, '');
    expect(html.length - bare.length).toBeGreaterThan(100_000);
    expect(bare.length).toBeLessThan(WITHOUT_AUDIO_BYTES);
  });

  it.each(['light', 'dark'] as const)('has no serious accessibility findings in %s', async (colorScheme) => {
    // The policy of the page refuses the checker's script, too, unless it is told not to.
    const { page } = await open({ colorScheme, bypassCSP: true });
    await page.evaluate(AXE);
    const found = await page.evaluate(async () => {
      const { axe } = globalThis as unknown as {
        axe: { run(): Promise<{ passes: unknown[]; violations: { id: string; impact: string; nodes: unknown[] }[] }> };
      };
      const { passes, violations } = await axe.run();
      return { passes: passes.length, violations: violations.map(({ id, impact }) => `${impact}: ${id}`) };
    });
    expect(found.passes).toBeGreaterThan(15);
    expect(found.violations.filter((finding) => /^(serious|critical)/.test(finding))).toEqual([]);
    await page.context().close();
  });

  it('tells everything without scripts, too, with the two sounds side by side', async () => {
    const { page, said } = await open({ javaScriptEnabled: false });
    expect(await page.locator('audio').count()).toBe(2);
    expect(await page.locator('audio').first().isVisible()).toBe(true);
    expect(await page.locator('#player').isVisible()).toBe(false);
    expect(await page.locator('svg.plot').count()).toBeGreaterThan(6);
    expect(said).toEqual([]);
    await page.context().close();
  });

  it('allows one script, the players', () => {
    expect(PLAYER_DIGEST).toBe(`sha256-${createHash('sha256').update(PLAYER_SCRIPT).digest('base64')}`);
    expect(html.match(/<script/g)).toHaveLength(1);
    expect(html).toContain(`script-src &#39;${PLAYER_DIGEST}&#39;`);
  });

  it('holds both sounds at one loudness, and quiet', () => {
    const sounds = [...html.matchAll(/src="data:audio\/wav;base64,([^"]+)"/g)].map(([, text]) =>
      decodeWav(Buffer.from(text, 'base64')),
    );
    expect(sounds).toHaveLength(2);
    const [mix, unprocessed] = sounds.map(({ channels, sampleRateHz }) => measureLoudness(channels, sampleRateHz));
    expect(Math.abs(mix - unprocessed)).toBeLessThan(0.1);
    expect(mix).toBeLessThan(-22.9);
  });

  it('plays from silence upwards, at a low volume, and switches without losing the place', async () => {
    // Tells what is connected to the loudspeakers, and when sounds start.
    const { page, said } = await open(
      {},
      `const connect = AudioNode.prototype.connect;
       AudioNode.prototype.connect = function (to, ...rest) {
         if (to instanceof AudioDestinationNode) window.master = this;
         else (window.inner ??= []).push([this, to]);
         return connect.call(this, to, ...rest);
       };
       window.starts = [];
       const start = AudioBufferSourceNode.prototype.start;
       AudioBufferSourceNode.prototype.start = function (...when) {
         window.starts.push(when);
         return start.apply(this, when);
       };`,
    );
    const heard = () =>
      page.evaluate(() => {
        const { inner, master } = globalThis as unknown as { inner: [GainNode, AudioNode][]; master: GainNode };
        return inner.filter(([, to]) => to === master).map(([{ gain }]) => gain.value);
      });
    expect(await page.locator('#player').isVisible()).toBe(true);
    expect(await page.locator('#sounds').isVisible()).toBe(false);
    await page.click('#play');
    await page.waitForFunction(() => document.querySelector('#play')?.textContent === 'Stop');
    // The gain and the time of the audio, from the click on, until it stands.
    const levels = await page.evaluate(async (least) => {
      const { master } = globalThis as unknown as { master: GainNode };
      const seen: [seconds: number, gain: number][] = [];
      while (seen.length < 2 || seen[seen.length - 1][1] < least) {
        seen.push([master.context.currentTime, master.gain.value]);
        await new Promise((resolve) => setTimeout(resolve, 50));
      }
      return seen;
    }, 0.999 * VOLUME);
    const slopes = levels.slice(1).map(([seconds, gain], i) => (gain - levels[i][1]) / (seconds - levels[i][0] || 1));
    expect(levels.length).toBeGreaterThan(5);
    expect(Math.min(...slopes)).toBeGreaterThanOrEqual(0);
    expect(Math.max(...slopes)).toBeLessThan((1.25 * VOLUME) / 2); // two seconds from silence
    expect(levels.at(-1)?.[1]).toBeCloseTo(VOLUME, 3);
    expect(await heard()).toEqual([1, 0]);
    await page.check('#choice label:nth-of-type(2) input');
    await expect.poll(heard).toEqual([0, 1]);
    // Both began at one time, and neither anew.
    const starts = await page.evaluate(() => (globalThis as unknown as { starts: number[][] }).starts);
    expect(starts).toHaveLength(2);
    expect(starts[1]).toEqual(starts[0]);
    await page.click('#play');
    expect(await page.textContent('#play')).toBe('Play');
    const level = () => page.evaluate(() => (globalThis as unknown as { master: GainNode }).master.gain.value);
    await expect.poll(level).toBe(0);
    expect(said).toEqual([]);
    await page.context().close();
  });
});
