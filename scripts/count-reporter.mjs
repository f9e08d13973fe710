/**
 * Vitest reporter that writes `{ "passed": n, "failed": n, "skipped": n }` to the file named by `TEST_COUNTS`.
 * A test file that does not load, and an error outside any test, count as one failure each.
 */
import { writeFileSync } from 'node:fs';

export default class CountReporter {
  /**
   * @param {readonly import('vitest/node').TestModule[]} modules
   * @param {readonly unknown[]} unhandledErrors
   */
  onTestRunEnd(modules, unhandledErrors) {
    const counts = { passed: 0, failed: unhandledErrors.length, skipped: 0 };
    for (const module of modules) {
      if (module.errors().length > 0) counts.failed++;
      for (const suite of module.children.allSuites()) counts.failed += suite.errors().length > 0 ? 1 : 0;
      for (const test of module.children.allTests()) {
        const { state } = test.result();
        if (state === 'passed') counts.passed++;
        else if (state === 'failed') counts.failed++;
        else counts.skipped++;
      }
    }
    writeFileSync(process.env['TEST_COUNTS'] ?? 'test-counts.json', JSON.stringify(counts));
  }
}
