/** Files that people drop on the page, and what the browser lets it play. */
import {
  closeSync,
  ftruncateSync,
  mkdtempSync,
  openSync,
  readFileSync,
  rmSync,
  writeFileSync,
  writeSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import axe from 'axe-core';
import type { Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { encodeWav } from '../../../src/wav/encode-wav.ts';
import { compress, computed, follow, type Lab, saved, STEP } from './lab-page.ts';

/** Waits until the page has said something of a kind. */
async function told(where: Page, id: string, words: RegExp): Promise<string> {
  const said = where.locator(`#${id}`, { hasText: words });
  await said.waitFor({ timeout: 20_000 });
  return (await said.textContent()) ?? '';
}

const hit = Float32Array.from({ length: 20_000 }, (_, i) => 0.9 * Math.exp(-i / 3000) * Math.sin(i / 20));
const FLOAT = { encoding: 'float', bitsPerSample: 32 } as const;

/** Tests of files and of listening; `lab` is open by the time they run. */
export function testPageWithSound(lab: () => Lab): void {
  const folder = mkdtempSync(join(tmpdir(), 'envelope-lab-files-'));
  let page: Page;
  beforeAll(async () => {
    page = await lab().open(STEP);
  });
  afterAll(async () => {
    await page.close();
    rmSync(folder, { recursive: true });
  });

  /** Chooses a file, and returns what the page says about it. */
  async function choose(name: string, bytes: Uint8Array | string): Promise<string> {
    const path = typeof bytes === 'string' ? bytes : join(folder, name);
    if (typeof bytes !== 'string') writeFileSync(path, bytes);
    await page.setInputFiles('#file', path);
    return told(page, 'file-note', new RegExp(`^${name.replace('.', '\\.')}:? (?!\\.)`));
  }

  describe('files', () => {
    it('are asked for by a link that was made with one', async () => {
      await follow(page, '#source=file&block=gate');
      expect(await told(page, 'message', /file/)).toBe('Choose a file first, or drop one on the page.');
      await follow(page, STEP);
    });

    it('a dropped file goes through the block as it does in Node', async () => {
      const bytes = Buffer.from(encodeWav([hit], { sampleRateHz: 44_100, ...FLOAT })).toString('base64');
      await page.evaluate((base64) => {
        const data = new DataTransfer();
        data.items.add(new File([Uint8Array.from(atob(base64), (c) => c.charCodeAt(0))], 'tom.wav'));
        document.body.dispatchEvent(new DragEvent('drop', { bubbles: true, cancelable: true, dataTransfer: data }));
      }, bytes);
      expect(await told(page, 'file-note', /^tom.wav:/)).toBe('tom.wav: 0.45 s, one channel, 44.1 kHz.');
      await told(page, 'status', /44.1 kHz/);
      const { output, gainDb } = compress(hit, 44_100, { thresholdDb: -30 });
      const rows = (await saved(page, 'csv')).trim().split('\n').slice(1);
      expect(rows.length).toBe(hit.length);
      for (const i of [0, 1000, 19_999]) {
        const [, x, y, , gain] = rows[i].split(',').map(Number);
        expect([x, y, gain]).toEqual([hit[i], output[i], gainDb[i]]);
      }
    });

    it('of one channel makes two for a block that needs them', async () => {
      await page.selectOption('#block-name', 'midSide');
      await computed(page);
      expect(await page.locator('#message').textContent()).toBe('');
      expect(await page.locator('#status').textContent()).toContain('the one channel as left and as right');
      await page.selectOption('#block-name', 'compressor');
      await computed(page);
    });

    it('of six channels at 192 kHz gives its first two at 192 kHz', async () => {
      const channels = [1, 2, 3, 4, 5, 6].map((n) => hit.map((x) => x / n));
      const note = await choose('surround.wav', encodeWav(channels, { sampleRateHz: 192_000, ...FLOAT }));
      expect(note).toBe('surround.wav: 0.1 s, 6 channels, 192 kHz. Of the channels it takes the first 2.');
      await told(page, 'status', /192 kHz/);
      const [head, , row] = (await saved(page, 'csv')).split('\n');
      expect(head).toBe('time_s,input_1,input_2,output_1,output_2,detector_dB,gain_dB');
      expect(row.split(',').slice(0, 3).map(Number)).toEqual([1 / 192_000, hit[1], Math.fround(hit[1] / 2)]);
    });

    it('of three hours as WAV gives its first ten seconds at once', async () => {
      const frames = 3 * 3600 * 48_000;
      const begin = encodeWav([hit, hit], { sampleRateHz: 48_000, encoding: 'integer', bitsPerSample: 16 });
      const header = Buffer.from(begin.subarray(0, begin.length - 4 * hit.length));
      header.writeUInt32LE(header.length - 8 + frames * 4, 4);
      header.writeUInt32LE(frames * 4, header.length - 4);
      const path = join(folder, 'take.wav');
      const file = openSync(path, 'w');
      writeSync(file, header);
      writeSync(file, begin.subarray(header.length));
      ftruncateSync(file, header.length + frames * 4); // holes: no disk is filled
      closeSync(file);
      const start = performance.now();
      expect(await choose('take.wav', path)).toBe(
        'take.wav: 3 h 0 min, 2 channels, 48 kHz. The lab takes the first 10 s of it.',
      );
      expect(performance.now() - start).toBeLessThan(15_000);
    });

    const flac = readFileSync('node_modules/supersonic-scsynth-samples/samples/drum_snare_hard.flac');

    it('of another kind is decoded by the browser', async () => {
      expect(await choose('snare.flac', flac)).toMatch(
        /^snare.flac: 0\.\d+ s, .*, 48 kHz, as the browser decodes it.$/,
      );
    });

    it('of three hours, of another kind, is refused before it is decoded', async () => {
      // FLAC says in its first block how many samples it has: 36 bits from byte 21, fourth bit, on (RFC 9639, section 8.2).
      const long = Buffer.from(flac);
      const rate = long.readUIntBE(18, 3) >> 4;
      const samples = BigInt(3 * 3600 * rate);
      long[21] = (long[21] & 0xf0) | Number(samples >> 32n);
      long.writeUInt32BE(Number(samples & 0xffffffffn), 22);
      expect(await choose('long.flac', long)).toBe(
        'long.flac is 3 h 0 min long; at most 5 min 0 s are decoded. Cut an excerpt, or give it as WAV, of which the lab reads only the beginning.',
      );
    });

    it.each([
      [
        'letter.txt',
        Buffer.from('Dear drummer, this is no sound at all.'),
        'is not audio that this browser can decode',
      ],
      ['empty.flac', Buffer.alloc(0), 'is empty'],
      ['broken.wav', Buffer.from('RIFF\x10\0\0\0WAVEjunk'), 'is no WAV file that can be read'],
    ])('%s is refused in words, and the sound before stays', async (name, bytes, words) => {
      expect(await choose(name, bytes)).toContain(`${name} ${words}`);
      expect(await page.locator('#file-note').getAttribute('class')).toBe('fault');
      await computed(page);
      expect(await page.locator('#source').inputValue()).toBe('file');
    });
  });

  describe('listening', () => {
    it('starts quiet, fades in, and changes sides', async () => {
      await follow(page, STEP);
      expect(await page.locator('#volume-value').textContent()).toBe('\u221230 dB');
      const ramps = await page.evaluate(() => {
        const seen: [number, number][] = [];
        const original = AudioParam.prototype.linearRampToValueAtTime;
        AudioParam.prototype.linearRampToValueAtTime = function (this: AudioParam, value: number, end: number) {
          seen.push([this.value, value]);
          return original.call(this, value, end);
        };
        Object.assign(globalThis, { seen });
        return seen.length;
      });
      expect(ramps).toBe(0);
      await page.click('#play');
      await told(page, 'player-note', /Playing/);
      const seen = () => page.evaluate(() => (globalThis as unknown as { seen: [number, number][] }).seen);
      // From silence to -30 dB.
      expect((await seen())[0]).toEqual([0, 10 ** (-30 / 20)]);
      await page.waitForFunction(() => Number((document.getElementById('moment') as HTMLInputElement).value) > 0);
      await page.check('input[value=before]');
      expect((await seen()).length).toBe(3); // one side down, the other up
      await page.check('input[value=after]');
    });

    it('stops when another tab plays', async () => {
      const other = await page.context().newPage();
      await other.goto(page.url());
      await computed(other);
      await other.click('#play');
      await told(page, 'player-note', /another tab/);
      expect(await page.locator('#play').textContent()).toBe('Play');
      expect(await other.locator('#play').textContent()).toBe('Stop');
      await other.close();
    });

    it.each([
      ['has no sound', () => Object.assign(globalThis, { AudioContext: undefined })],
      [
        'never lets it begin',
        () => {
          AudioContext.prototype.resume = () => new Promise(() => undefined);
          Object.defineProperty(AudioContext.prototype, 'state', { get: () => 'suspended' });
        },
      ],
    ])('a browser that %s is told of, and all the rest works', async (_, deny) => {
      const denied = await lab().open(STEP, {}, (fresh) => fresh.addInitScript(deny));
      await denied.click('#play');
      expect(await told(denied, 'player-note', /does not let/)).toContain('everything else works without');
      expect(await denied.locator('#play').textContent()).toBe('Play');
      expect((await saved(denied, 'csv')).split('\n').length).toBeGreaterThan(1000);
      await denied.close();
    });

    it('moves nothing by itself where motion is not wanted', async () => {
      const still = await lab().open(STEP, { reducedMotion: 'reduce' });
      await still.locator('#moment').fill('100');
      await still.click('#play');
      await told(still, 'player-note', /Playing/);
      await still.waitForTimeout(300);
      expect(await still.locator('#moment').inputValue()).toBe('100');
      await still.close();
    });
  });

  describe('for everybody', () => {
    it.each(['light', 'dark'] as const)('axe finds nothing serious, in the %s', async (colorScheme) => {
      const tested = await lab().open('#source=step&block=gate', {
        colorScheme,
        viewport: { width: 390, height: 844 },
      });
      await tested.evaluate(axe.source);
      const violations = await tested.evaluate(async () => {
        const { violations: all } = await (globalThis as unknown as { axe: typeof axe }).axe.run();
        return all.map(({ id, impact, nodes }) => ({ id, impact, first: nodes[0].html }));
      });
      expect(violations.filter(({ impact }) => impact === 'serious' || impact === 'critical')).toEqual([]);
      // Nothing is wider than a phone.
      expect(await tested.evaluate(() => document.documentElement.scrollWidth)).toBe(390);
      await tested.close();
    });
  });
}
