import { defineConfig } from 'vitest/config';
import base from './vitest.config.ts';

/**
 * `npm run mutation`: the tests of the folders that are mutated, without those that start processes, browsers or long
 * measurements. `npm run mutation -- --mutate src/core/decibels.ts` mutates one file.
 */
export default defineConfig({
  ...base,
  test: {
    ...base.test,
    include: ['core', 'filters', 'dynamics', 'saturation', 'reverb'].map((folder) => `tests/${folder}/**/*.test.ts`),
  },
});
