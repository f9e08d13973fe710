/**
 * The built page, served as a static host would, and pages that open it.
 */
import { mkdtempSync, readdirSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Browser, BrowserContextOptions, Page } from 'playwright-core';
import { build } from 'vite';
import { Compressor, type CompressorOptions } from '../../../src/dynamics/compressor.ts';
import { launchChromium } from '../../../scripts/chromium.mjs';
import { serveFolder } from '../serve-folder.ts';

/** A folder of the host: the page must not ask for anything outside of it. */
const FOLDER = 'lessons/lab/';

/** A link to a test signal, which needs no simulation. */
export const STEP = '#source=step&block=compressor&thresholdDb=-30';

/** The page on a host, and a browser. */
export interface Lab {
  /** All files of the page, by name. */
  readonly files: ReadonlyMap<string, Buffer>;
  /** What any page said on its console, any error, and any file that was asked for in vain. */
  readonly complaints: string[];
  readonly browser: Browser;
  /** Opens the page and waits until it has computed. */
  open(hash?: string, options?: BrowserContextOptions, prepare?: (page: Page) => Promise<unknown>): Promise<Page>;
  close(): Promise<void>;
}

/** Builds the page, serves it, starts a browser. */
export async function openLab(): Promise<Lab> {
  const host = mkdtempSync(join(tmpdir(), 'envelope-lab-'));
  const folder = join(host, FOLDER);
  const config = { configFile: 'examples/envelope-lab/vite.config.ts', logLevel: 'error' as const };
  const [browser, served] = await Promise.all([
    launchChromium(),
    serveFolder(host),
    build({ ...config, build: { outDir: folder, emptyOutDir: true } }),
  ]);
  const entries = readdirSync(folder, { recursive: true, withFileTypes: true }).filter((entry) => entry.isFile());
  const files = new Map(entries.map(({ parentPath, name }) => [name, readFileSync(join(parentPath, name))]));
  const complaints: string[] = [];

  return {
    files,
    complaints,
    browser,
    open: async (hash = '', options = {}, prepare) => {
      const context = await browser.newContext(options);
      const page = await context.newPage();
      page.on('console', (message) => complaints.push(`${message.type()}: ${message.text()}`));
      page.on('pageerror', (error) => complaints.push(error.message));
      page.on('response', (response) => {
        if (response.status() >= 400) complaints.push(`asked in vain for ${response.url()}`);
      });
      await prepare?.(page);
      await page.goto(`${served.url}${FOLDER}${hash}`);
      await computed(page);
      return page;
    },
    close: async () => {
      await browser.close();
      served.close();
      rmSync(host, { recursive: true });
    },
  };
}

/** Content of the file that a button of the page saves. */
export async function saved(page: Page, button: string): Promise<string> {
  const [download] = await Promise.all([page.waitForEvent('download'), page.click(`#${button}`)]);
  return readFileSync(await download.path(), 'utf8');
}

/** Output and trace of a mono signal, as a Compressor gives them in Node. */
export function compress(
  input: Float32Array,
  sampleRateHz: number,
  options: CompressorOptions,
): { output: Float32Array; levelDb: Float32Array; gainDb: Float32Array } {
  const [output, levelDb, gainDb] = [0, 1, 2].map(() => new Float32Array(input.length));
  new Compressor({ sampleRateHz, channels: 1 }, options).process([input], [output], {
    trace: { levelDb: [levelDb], gainDb: [gainDb] },
  });
  return { output, levelDb, gainDb };
}

/** Follows a link within an open page, without a reload. */
export async function follow(page: Page, hash: string): Promise<void> {
  await page.evaluate(
    (link) =>
      new Promise((resolve) => {
        // The page itself has listened for longer, so it has begun when this is called.
        addEventListener('hashchange', resolve, { once: true });
        // The address may still be that of this link, while the settings have moved on: no browser would tell of it then.
        if (location.hash === link) dispatchEvent(new Event('hashchange'));
        else location.hash = link;
      }).then(() => undefined),
    hash,
  );
  await computed(page);
}

/** Waits until the pictures show what is chosen. */
export async function computed(page: Page): Promise<void> {
  await page.waitForFunction(
    () => /computed at|settings before/.test(document.getElementById('status')?.textContent ?? ''),
    undefined,
    { timeout: 30_000 },
  );
}
