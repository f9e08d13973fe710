/** Chromium at every test run; `npm run test:browsers` asks the other engines, too. */
import { describe, expect, it } from 'vitest';
import { engines } from './engines.ts';
import { givesTheSameSamples } from './same-samples.ts';
import { servePage } from './serve.ts';

const [chromium] = engines;
givesTheSameSamples(chromium);

describe.each([
  ['by messages', false],
  ['by shared memory', true],
])('a running context in Chromium, meters %s', (_, isolated) => {
  it('meters, obeys and goes on after a pause', async () => {
    const served = await servePage(isolated);
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
