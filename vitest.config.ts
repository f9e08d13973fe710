import { defineConfig } from 'vitest/config';

export default defineConfig({
  test: {
    include: ['tests/**/*.test.ts'],
    setupFiles: ['tests/support/fast-check-seed.ts'],
    testTimeout: 60_000,
    hookTimeout: 60_000,
    pool: 'forks',
    coverage: { provider: 'v8', include: ['src/**/*.ts'], exclude: ['src/**/index.ts', '**/*.d.ts'] },
  },
});
