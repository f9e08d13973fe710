/** Chromium at every test run; `npm run test:browsers` asks the other engines, too. */
import { describe, expect, it } from 'vitest';
import { engines } from './engines.ts';
import { givesTheSameSamples } from './same-samples.ts';
import { ISOLATED, servePage } from './serve.ts';

const [chromium] = engines;
givesTheSameSamples(chromium);

describe.each([
  ['by messages', false],
  ['by shared memory', true],
])('a running context in Chromium, meters %s', (_, isolated) => {
  it('meters, obeys and goes on after a pause', async () => {
    const served = await servePage(isolated ? ISOLATED : {});
    const page = await chromium.open(served.url);
    try {
      const seen = (await page.run('live')) as Record<
        'before' | 'after',
        { peakIn: number; blocks: { gainDb: number }[] }
      > & {
        shared: boolean;
        said: string[];
      };
      expect(seen.shared).toBe(isolated);
      expect(seen.said).toEqual([]);
      expect(seen.before.peakIn).toBe(0.5);
      // -6.02 dBFS is 13.98 dB above the threshold: at 4:1 three quarters of that come off.
      expect(seen.before.blocks[1].gainDb).toBeCloseTo(0.75 * (20 * Math.log10(2) - 20), 2);
      expect(seen.after.blocks[1].gainDb).toBeGreaterThan(-0.1);
    } finally {
      await page.close();
      served.close();
    }
  });
});

describe('loading the processors in Chromium', () => {
  const EMBEDDED =
    'addProcessors: the embedded script was not loaded, probably because the Content-Security-Policy of this page ' +
    'forbids blob: scripts. Serve batterhead/worklet/processors.js and hand over its address';
  const INSECURE =
    'addProcessors: this page has no AudioWorklet, because it is no secure context: serve it over https, or from localhost';

  it.each([
    ['where nothing is in the way', {}, 'url', ['loaded', 'loaded']],
    ['where Blobs are blocked', { 'Content-Security-Policy': "script-src 'self'" }, 'url', [EMBEDDED, 'loaded']],
    ['without a secure context', {}, 'insecureUrl', [INSECURE, INSECURE]],
  ] as const)('succeeds or says why not, embedded and by address: %s', async (_, headers, address, expected) => {
    const served = await servePage(headers);
    const page = await chromium.open(served[address]);
    try {
      expect(await page.run('loading')).toEqual(expected);
    } finally {
      await page.close();
      served.close();
    }
  });
});
