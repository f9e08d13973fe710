import { defineConfig } from 'vitest/config';
import { bundleTextVite } from './scripts/bundle-text.mjs';

export default defineConfig({
  plugins: [bundleTextVite()],
  test: {
    include: ['tests/**/*.test.ts'],
    globalSetup: ['tests/support/unpack-browser.ts'],
    setupFiles: ['tests/support/fast-check-seed.ts'],
    testTimeout: 60_000,
    hookTimeout: 60_000,
    pool: 'forks',
    maxWorkers: '100%', // one by default on two cores
    coverage: {
      provider: 'v8',
      include: ['src/**/*.ts'],
      exclude: ['src/**/index.ts', '**/*.d.ts'],
      reporter: ['text', 'json-summary'],
      reportOnFailure: true,
      // The command line runs in processes of its own, where coverage does not see it; hence not quite 100.
      thresholds: { statements: 97, lines: 97, functions: 97, branches: 92 },
    },
  },
});
