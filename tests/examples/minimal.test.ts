/** The minimal examples: built as their README says, clicked, and compared with the classes in Node. */
import { spawn } from 'node:child_process';
import { readdirSync, readFileSync } from 'node:fs';
import { join, resolve } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { Chain } from '../../src/core/chain.ts';
import { Gain } from '../../src/core/gain.ts';
import { Compressor } from '../../src/dynamics/compressor.ts';
import { SoftClipper } from '../../src/saturation/soft-clipper.ts';
import { launchChromium } from '../../scripts/chromium.mjs';
import { firstDifference } from '../support/signals.ts';
import { type ServedFolder, serveFolder } from './serve-folder.ts';

const ROOT = resolve(import.meta.dirname, '../..');
const FOLDER = join(ROOT, 'examples/minimal');
const RATE = 48000;
const SECONDS = 2;

/** How each is built, and where its page is then. */
const examples = [
  { name: 'vite', build: ['vite', 'build', 'examples/minimal/vite', '--base', './'], page: 'vite/dist/' },
  { name: 'webpack', build: ['webpack', '-c', 'examples/minimal/webpack/webpack.config.js'], page: 'webpack/' },
  { name: 'plain', build: undefined, page: 'plain/' },
];

function run(command: readonly string[]): Promise<void> {
  return new Promise((done, fail) => {
    const child = spawn('npx', ['--no-install', ...command], { cwd: ROOT, stdio: ['ignore', 'pipe', 'pipe'] });
    let said = '';
    for (const stream of [child.stdout, child.stderr]) stream.on('data', (text: Buffer) => (said += text.toString()));
    child.on('close', (code) => {
      if (code === 0) done();
      else fail(new Error(`${command.join(' ')}: ${said}`));
    });
  });
}

/** What the pages do, by the classes: two seconds of it. */
function expected(): Float32Array {
  const format = { sampleRateHz: RATE, channels: 1 };
  const chain = new Chain(format, [
    new Compressor(format, { thresholdDb: -30, ratio: 4, attackMs: 5 }),
    new SoftClipper(format, { driveDb: 6 }),
    new Gain(format, { gainDb: -48 }),
  ]);
  const hit = new Float32Array(24_000);
  for (let i = 0, y = 0.5; i < hit.length; i++, y *= 0.9995) hit[i] = i % 400 < 200 ? y : -y;
  const x = Float32Array.from({ length: SECONDS * RATE }, (_, i) => hit[i % hit.length]);
  chain.process([x], [x], { start: 0, end: RATE });
  chain.set({ 2: { gainDb: -12 } });
  chain.process([x], [x], { start: RATE, end: x.length });
  return x;
}

describe('the minimal examples', () => {
  let served: ServedFolder, browser: Awaited<ReturnType<typeof launchChromium>>;
  beforeAll(async () => {
    served = await serveFolder(ROOT);
    [browser] = await Promise.all([launchChromium(), ...examples.flatMap(({ build }) => (build ? [run(build)] : []))]);
  });
  afterAll(async () => {
    await browser.close();
    served.close();
  });

  it.each(examples)('$name plays what the classes give in Node', async ({ page: path }) => {
    const page = await browser.newPage();
    const faults: string[] = [];
    page.on('pageerror', (error) => faults.push(error.message));
    page.on('console', (message) => message.type() === 'error' && faults.push(message.text()));
    // A context that renders instead of playing; the page's script is as it is.
    await page.addInitScript(
      ({ rate, frames }) => {
        class Rendering extends OfflineAudioContext {
          constructor() {
            super(1, frames, rate);
            Object.assign(globalThis, { rendering: this });
          }
        }
        Object.assign(globalThis, { AudioContext: Rendering });
      },
      { rate: RATE, frames: SECONDS * RATE },
    );
    await page.goto(`${served.url}examples/minimal/${path}`);
    await page.getByRole('button', { name: 'Play' }).click();
    await page.getByText('Playing').waitFor();
    const y = await page.evaluate(async () => {
      const { rendering } = globalThis as unknown as { rendering: OfflineAudioContext };
      return Array.from((await rendering.startRendering()).getChannelData(0));
    });
    await page.close();
    expect(faults).toEqual([]);
    expect(Math.max(...y.slice(RATE, 1.5 * RATE))).toBeGreaterThan(0.01);
    expect(firstDifference(y, expected())).toBe(-1);
  });

  it('has scripts of less than 30 lines, and their commands in the README', () => {
    const readme = readFileSync(join(FOLDER, 'README.md'), 'utf8');
    for (const { name, build } of examples) {
      const files = readdirSync(join(FOLDER, name), { withFileTypes: true }).filter((item) => item.isFile());
      expect(files.length).toBeGreaterThan(1);
      for (const file of files) {
        expect(readFileSync(join(FOLDER, name, file.name), 'utf8').split('\n').length, file.name).toBeLessThan(30);
      }
      if (build) expect(readme).toContain(`npx ${build.join(' ')}`);
    }
  });
});
