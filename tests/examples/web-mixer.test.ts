/** The web mixer: its sound against the rendered mix, and its page as a person would use it. */
import { mkdtempSync, readFileSync, rmSync, truncateSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import { createHash } from 'node:crypto';
import type { Browser, Page } from 'playwright-core';
import { build } from 'vite';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { demoPlan } from '../../src/node/demo-plan.ts';
import { encodeWav } from '../../src/wav/encode-wav.ts';
import { demoKit, renderDemo } from '../browsers/demo.ts';
import { launchChromium } from '../../scripts/chromium.mjs';
import { type Served, serveScript } from '../browsers/serve.ts';
import { noise } from '../support/signals.ts';
import { type ServedFolder, serveFolder } from './serve-folder.ts';

const EXAMPLE = resolve(import.meta.dirname, '../../examples/web-mixer');
const AXE = readFileSync(resolve(import.meta.dirname, '../../node_modules/axe-core/axe.min.js'), 'utf8');
/** A simulated kit, its alignment and two renderings, on a machine that does other things too. */
const LOADED_MS = 120_000;

let browser: Browser;
beforeAll(async () => {
  browser = await launchChromium();
});
afterAll(() => browser.close());

it('has the plan of the offline mix', () => {
  expect(JSON.parse(readFileSync(join(EXAMPLE, 'plan.json'), 'utf8'))).toEqual(demoPlan);
});

describe('the graph of the web mixer', () => {
  let served: Served, page: Page;
  const run = (name: string) =>
    page.evaluate((n) => (globalThis as unknown as { run(n: string): unknown }).run(n), name);
  beforeAll(async () => {
    served = await serveScript('tests/examples/mixer-graph-page.ts');
    page = await browser.newPage();
    await page.goto(served.url);
  });
  afterAll(() => served.close());

  it('plays, switches and all, exactly the samples that renderMix gives in Node', async () => {
    const kit = demoKit();
    const hash = createHash('sha256');
    for (const side of renderDemo(kit)) hash.update(side.subarray(0, kit.frames));
    expect(await run('demo')).toBe(hash.digest('hex'));
  });

  it('brings the unprocessed side as late as the mix', async () => {
    expect(await run('lateness')).toEqual([0, 0]);
  });
});

describe('the page of the web mixer', () => {
  let served: ServedFolder, page: Page;
  const faults: string[] = [];
  const folder = mkdtempSync(join(tmpdir(), 'batterhead-mixer-'));

  async function open(): Promise<Page> {
    const opened = await (page?.context() ?? (await browser.newContext())).newPage();
    opened.on('pageerror', (error) => faults.push(error.message));
    opened.on('console', (message) => message.type() === 'error' && faults.push(message.text()));
    await opened.goto(served.url);
    await opened.locator('#play:enabled').waitFor({ timeout: LOADED_MS });
    return opened;
  }

  beforeAll(async () => {
    await build({ configFile: join(EXAMPLE, 'vite.config.ts'), logLevel: 'error' });
    served = await serveFolder(join(EXAMPLE, 'dist'));
    page = await open();
  }, LOADED_MS);
  afterAll(() => {
    served.close();
    rmSync(folder, { recursive: true, force: true });
  });

  const fault = (at = page) => at.locator('#fault').textContent();
  const level = (strip: string) =>
    page
      .getByRole('meter', { name: `Level of ${strip}`, exact: true })
      .evaluate((meter) => (meter as unknown as { value: number }).value);

  it('has a row for each strip, and says when its sound arrives', async () => {
    expect(await page.getByRole('rowheader').count()).toBe(12 + 8 + 1);
    expect(await page.locator('#status').textContent()).toMatch(/^12 microphones, \d+\.\d s, in a loop\.$/);
    expect(await page.locator('#match').textContent()).toMatch(/^Processed -\d+\.\d LUFS, unprocessed -\d+\.\d LUFS/);
    const latency = page
      .locator('tr', { has: page.getByRole('rowheader', { name: 'mix bus', exact: true }) })
      .locator('.time');
    expect(await latency.textContent()).toMatch(/^\d+\.\d\d ms$/);
  });

  it('plays, meters, and obeys the keyboard', async () => {
    await page.getByRole('button', { name: 'Play' }).focus();
    await page.keyboard.press('Enter');
    await page.getByRole('button', { name: 'Stop' }).waitFor();
    await expect.poll(() => level('roomLeft'), { timeout: 20_000 }).toBeGreaterThan(-60);
    await expect.poll(() => page.locator('#peak').textContent(), { timeout: 20_000 }).toContain('dB');
    const fader = page.getByRole('slider', { name: 'Fader of drums', exact: true });
    await fader.focus();
    await page.keyboard.press('Home');
    expect(await fader.getAttribute('aria-valuetext')).toBe('-60');
    const space = page.getByRole('slider', { name: 'Fader of space', exact: true });
    await space.focus();
    await page.keyboard.press('Home');
    await expect.poll(() => level('mix bus'), { timeout: 20_000 }).toBeLessThan(-50);
    expect(await fault()).toBe('');
  });

  it(
    'measures the loudness anew, and compares at the same',
    async () => {
      const match = () => page.locator('#match').textContent();
      await expect.poll(match, { timeout: LOADED_MS }).toMatch(/^Processed silent/);
      await page.getByRole('slider', { name: 'Fader of drums', exact: true }).press('End');
      await expect.poll(match, { timeout: LOADED_MS }).toMatch(/^Processed -\d/);
      const [processed, unprocessed, down] = ((await match()) ?? '').match(/-?\d+\.\d/g)?.map(Number) ?? [];
      expect(Math.abs(processed - unprocessed)).toBeCloseTo(down, 0);
      await page.getByRole('radio', { name: 'unprocessed' }).check();
      expect(await fault()).toBe('');
    },
    2 * LOADED_MS,
  );

  it('lets blocks be switched and set', async () => {
    await page.getByRole('row', { name: 'snareBottom' }).locator('summary').click();
    await page.getByText('Listens to snareTop.').waitFor();
    const gate = page.getByRole('group', { name: 'gate of snareBottom' });
    await gate.getByRole('checkbox', { name: 'on' }).uncheck();
    await gate.getByRole('slider', { name: 'threshold, dB' }).press('End');
    expect(await gate.getByRole('slider', { name: 'threshold, dB' }).getAttribute('aria-valuetext')).toBe('0');
    expect(await fault()).toBe('');
  });

  it('has no serious fault that axe finds, in light and in dark, on a desk and on a phone', async () => {
    await page.evaluate(AXE);
    for (const [colorScheme, width] of [
      ['light', 1440],
      ['dark', 390],
    ] as const) {
      await page.emulateMedia({ colorScheme });
      await page.setViewportSize({ width, height: 900 });
      const found = await page.evaluate(async () => {
        const { axe } = globalThis as unknown as {
          axe: { run(): Promise<{ violations: { id: string; impact: string; nodes: { target: unknown }[] }[] }> };
        };
        return (await axe.run()).violations
          .filter(({ impact }) => impact === 'serious' || impact === 'critical')
          .map(({ id, nodes }) => `${id}: ${JSON.stringify(nodes.slice(0, 3).map(({ target }) => target))}`);
      });
      expect(found).toEqual([]);
      // Nothing sticks out at the side.
      expect(await page.evaluate('document.documentElement.scrollWidth - innerWidth')).toBeLessThanOrEqual(0);
    }
  });

  it(
    'takes files of one microphone each, and says what it did to others',
    async () => {
      const wav = (channels: number, sampleRateHz: number) =>
        encodeWav(
          Array.from({ length: channels }, (_, c) => noise(sampleRateHz / 10, c + 1, 0.1)),
          { sampleRateHz, bitsPerSample: 16 },
        );
      const file = (name: string, bytes: Uint8Array | string) => ({
        name,
        mimeType: 'audio/wav',
        buffer: Buffer.from(bytes),
      });
      const long = join(folder, 'snareTop.wav');
      writeFileSync(long, threeHours());
      truncateSync(long, 44 + 3 * 3600 * 48000 * 2); // no more than its first bytes are on the disk
      const other = await open();
      await other
        .locator('#files')
        .setInputFiles([file('hat.wav', 'no sound at all'), file('banjo.wav', wav(1, 48000))]);
      await expect.poll(() => fault(other)).toContain('hat.wav is no WAV file that can be read');
      expect(await fault(other)).toContain('banjo.wav is named after no input');
      expect(await other.locator('#status').textContent()).toBe('The recordings before these are still there.');

      await other
        .locator('#files')
        .setInputFiles([
          file('Kick_In.wav', wav(1, 48000)),
          file('ride.wav', wav(6, 48000)),
          file('hat.wav', wav(1, 192_000)),
        ]);
      await expect
        .poll(() => other.locator('#status').textContent(), { timeout: 60_000 })
        .toBe('3 microphones, 0.1 s, in a loop.');
      const notes = await other.locator('#notes').textContent();
      expect(notes).toContain('ride.wav has 6 channels; a microphone is one, so the first is taken.');
      expect(notes).toContain('hat.wav was converted from 192 to 48 kHz.');
      expect(notes).toContain('Silent, because there is no file for them: kickOut,');

      await other.locator('#files').setInputFiles(long);
      await expect
        .poll(() => other.locator('#notes').textContent(), { timeout: 60_000 })
        .toContain('snareTop.wav is 3 h 0 min long; its first 20 s are taken.');
      expect(await other.locator('#status').textContent()).toBe('1 microphone, 20.0 s, in a loop.');

      // A second tab takes over.
      await other.locator('#play:enabled').click({ timeout: LOADED_MS });
      await other.getByRole('button', { name: 'Stop' }).waitFor();
      await expect.poll(() => fault()).toBe('Another tab of this page has begun to play, so this one has stopped.');
      await page.getByRole('button', { name: 'Play' }).waitFor();

      // A browser that gives no sound: it leaves the promise open.
      await other.getByRole('button', { name: 'Stop' }).click();
      await other.evaluate(() => {
        const { prototype } = (globalThis as unknown as { AudioContext: { prototype: object } }).AudioContext;
        Object.assign(prototype, { resume: () => new Promise(() => undefined) });
        Object.defineProperty(prototype, 'state', { get: () => 'suspended' });
      });
      await other.getByRole('button', { name: 'Play' }).click();
      await expect.poll(() => fault(other), { timeout: 10_000 }).toContain('The browser gives this page no sound.');
      await other.close();
    },
    2 * LOADED_MS,
  );

  it('has said nothing on the console', () => {
    expect(faults).toEqual([]);
  });
});

/** Header of a WAV file of three hours: 48 kHz, mono, 16 bits. */
function threeHours(): Uint8Array {
  const bytes = 3 * 3600 * 48000 * 2;
  const header = Buffer.alloc(44);
  header.write('RIFF', 0, 'latin1');
  header.writeUInt32LE(36 + bytes, 4);
  header.write('WAVEfmt ', 8, 'latin1');
  header.writeUInt32LE(16, 16);
  header.writeUInt16LE(1, 20);
  header.writeUInt16LE(1, 22);
  header.writeUInt32LE(48000, 24);
  header.writeUInt32LE(96000, 28);
  header.writeUInt16LE(2, 32);
  header.writeUInt16LE(16, 34);
  header.write('data', 36, 'latin1');
  header.writeUInt32LE(bytes, 40);
  return header;
}
