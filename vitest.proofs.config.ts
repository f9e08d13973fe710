import { defineConfig } from 'vitest/config';

/** `npm run proofs`: what takes too long for every test run. Each file rewrites its page in `docs/proofs/`. */
export default defineConfig({
  test: {
    include: ['tests/proofs/**/*.proof.ts'],
    setupFiles: ['tests/support/fast-check-seed.ts'],
    testTimeout: 3_600_000,
    hookTimeout: 3_600_000,
    pool: 'forks',
    maxWorkers: 1, // figures of speed are among the results
  },
});
