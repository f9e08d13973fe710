/** Writes `docs/proofs/conformance.md`: every published check with its source, its tolerance and what was measured. */
import { expect, it } from 'vitest';
import { type Check } from '../conformance/check.ts';
import { dynamicsChecks } from '../conformance/dynamics.ts';
import { filterChecks } from '../conformance/filters.ts';
import { meterChecks } from '../conformance/meters.ts';
import { spaceChecks } from '../conformance/space.ts';
import { writeProofPage } from '../support/proof-page.ts';

const topics: Readonly<Record<string, readonly Check[]>> = {
  'Filters and windows': filterChecks,
  'Dynamics and nonlinear curves': dynamicsChecks,
  'Meters, bands and weightings': meterChecks,
  'Reverberation, acoustics, alignment, hits, files': spaceChecks,
};

/** Publications whose authors are not ours: common practice and mathematics do not count. */
const published = (source: string): boolean => !/^(common practice|.*\(mathematics\)$|ideal gas)/.test(source);
/** A publication by its first words, however many of its tables are used. */
const publication = (source: string): string => source.split(/,|\(/)[0];

const figure = (value: number): string => (value === 0 ? '0' : value.toPrecision(2));

it('agrees with everything published that it is compared with', { timeout: 600_000 }, () => {
  const tables = Object.entries(topics).map(([title, checks]) => ({
    title,
    header: ['what', 'published in', 'by', 'allowed', 'measured'],
    rows: checks.map(({ what, source, by = '', tolerance, unit, measure }) => {
      const distance = measure();
      expect.soft(distance, what).toBeLessThanOrEqual(tolerance);
      return [what, source, by, `${figure(tolerance)} ${unit}`.trim(), `${figure(distance)} ${unit}`.trim()];
    }),
  }));
  const sources = Object.values(topics).flatMap((checks) => checks.map(({ source }) => source).filter(published));
  const count = tables.reduce((sum, { rows }) => sum + rows.length, 0);
  const publications = new Set(sources.map(publication)).size;
  expect(count).toBeGreaterThanOrEqual(60);
  expect(publications).toBeGreaterThanOrEqual(12);
  writeProofPage(
    'conformance',
    'Conformance',
    `The library beside what is published: ${count} checks, ${sources.length} of them from ${publications} publications. Measured is the largest distance of any point of a check; allowed is the publisher's tolerance, or the last digit that is printed. "By" names the program that turned a published equation into numbers. A source marked "from memory" was not opened again for this page; its values come from the program named beside it.`,
    tables,
  );
});
