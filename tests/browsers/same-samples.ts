/**
 * What every engine must show: exactly the samples that the classes give in Node.
 */
import { createHash } from 'node:crypto';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { browserCases } from './cases.ts';
import { demoKit, renderDemo } from './demo.ts';
import { type Engine, type OpenPage } from './engines.ts';
import { expectedDigest, expectedParams } from './expected.ts';
import { type Served, servePage } from './serve.ts';

function hashOf(channels: readonly Float32Array[]): string {
  const hash = createHash('sha256');
  for (const x of channels) hash.update(x);
  return hash.digest('hex');
}

/** Tests of one engine. */
export function givesTheSameSamples(engine: Engine): void {
  describe(engine.name, () => {
    let served: Served, page: OpenPage;
    beforeAll(async () => {
      served = await servePage();
      page = await engine.open(served.url);
      console.log(page.version);
    });
    afterAll(async () => {
      await page.close();
      served.close();
    });

    it.each(browserCases.map((one) => [one.name, one] as const))('runs %s as Node does', async (name, one) => {
      expect(await page.run(name)).toBe(await expectedDigest(one));
    });

    it('follows AudioParams, rounded to float32, from quantum to quantum', async () => {
      expect(await page.run('parameters')).toBe(await expectedParams());
    });

    it('renders the demo plan in a page and in a worker as Node does', async () => {
      const expected = hashOf(renderDemo());
      expect(await page.run('demo in the page')).toBe(expected);
      expect(await page.run('demo in a worker')).toBe(expected);
    });

    it('mixes the demo plan live as Node renders it', async () => {
      const kit = demoKit();
      expect(await page.run('demo live')).toBe(hashOf(renderDemo(kit).map((x) => x.subarray(0, kit.frames))));
    });

    it('says what is wrong', async () => {
      expect(await page.run('refusals')).toEqual([
        'batterhead-chain could not be made: await addProcessors(context) first',
        'addProcessors: /nothing-here.js could not be loaded as a script: is it served, as JavaScript?',
        'chain[1].attackMs must be 0 to 1000, got -3',
        'Gain: gainDb must be -120 to 60, got 1000',
        expect.stringMatching(/^type must be one of .* got "gat"; the nearest name is gate$/),
        'createMixerNode: alignment must be given, because the plan leaves moves to be found: see alignInputs',
        'channels.close.gainDb must be -120 to 24, got 99',
      ]);
    });
  });
}
