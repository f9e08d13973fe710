/** `npm run test:browsers`: all engines, each of which must be there. */
import { describe, expect, it } from 'vitest';
import { engines } from './engines.ts';
import { givesTheSameSamples } from './same-samples.ts';

for (const engine of engines) {
  const missing = engine.missing();
  if (missing === undefined) givesTheSameSamples(engine);
  else
    describe(engine.name, () => {
      it('is on this machine', () => {
        expect.fail(`install ${missing}`);
      });
    });
}
