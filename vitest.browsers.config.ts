import { defineConfig } from 'vitest/config';
import { bundleTextVite } from './scripts/bundle-text.mjs';

/** `npm run test:browsers`. */
export default defineConfig({
  plugins: [bundleTextVite()],
  test: { include: ['tests/browsers/*.browsers.ts'], testTimeout: 120_000, hookTimeout: 60_000, pool: 'forks' },
});
