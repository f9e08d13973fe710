/**
 * Fuzzing at scale: mutated input for everything that reads, drawn cases for every processor. `FUZZ_INPUTS` (in all) and
 * `FUZZ_CASES` (of each processor) say how many, `FC_SEED` which.
 */
import { afterAll, describe, expect, it } from 'vitest';
import { blockTypes } from '../../src/blocks/block-types.ts';
import { campaign } from '../fuzz/campaign.ts';
import { parserTargets } from '../fuzz/parser-targets.ts';
import { processorCases } from '../fuzz/processor-cases.ts';
import { writeProofPage } from '../support/proof-page.ts';

const inputs = Number(process.env['FUZZ_INPUTS'] ?? 1_000_000);
const cases = Number(process.env['FUZZ_CASES'] ?? 100_000);
const parserRows: (string | number)[][] = [];
const processorRows: (string | number)[][] = [];
const whole = parserTargets.reduce((sum, { share }) => sum + share, 0);

afterAll(() => {
  const sum = (rows: readonly (readonly (string | number)[])[], column: number) =>
    rows.reduce((all, row) => all + Number(row[column]), 0);
  writeProofPage(
    'fuzzing',
    'Fuzzing',
    `${sum(parserRows, 1)} valid inputs with one to six faults each, ${sum(processorRows, 1)} drawn cases of processors; seed ${process.env['FC_SEED'] ?? 'as always'}. ` +
      'An input is read, or refused by an error that the reader documents, with words of ours: an error of the engine counts as a crash. ' +
      'A case has any legal parameters, 22.05 to 192 kHz, one or two channels of noise, clicks, steps, silence, denormals and what ' +
      'is no sample, cut into blocks of any length: what comes out must be finite, the same bits for any cut, and the same again ' +
      'after a reset, or, in one case of four, from a new processor with the SIMD kernels. Options that do not fit together are refused, in words, and do not count. Repeat with `npm run fuzz`; `FUZZ_INPUTS` and `FUZZ_CASES` say how ' +
      'many, `FC_SEED=random` draws others. `npm test` has a short run of the same.',
    [
      {
        title: 'Readers',
        header: ['reader', 'inputs', 'read', 'refused', 'crashes', 'slowest, ms of processor', 'memory risen, MB'],
        rows: parserRows,
      },
      { title: 'Processors', header: ['block', 'cases', 'refused', 'broken laws'], rows: processorRows },
    ],
  );
});

describe('readers', () => {
  it.each(parserTargets)('$name', (target) => {
    const {
      inputs: count,
      accepted,
      refused,
      surprises,
      slowestMs,
      risenMb,
    } = campaign(target, Math.ceil((inputs * target.share) / whole));
    parserRows.push([
      target.name,
      count,
      accepted,
      refused,
      surprises.length,
      slowestMs.toFixed(0),
      risenMb.toFixed(0),
    ]);
    expect(surprises).toEqual([]);
    expect(accepted + refused).toBe(count);
    expect(slowestMs).toBeLessThan(1000);
    expect(risenMb).toBeLessThan(500);
  });
});

describe('processors', () => {
  it.each(Object.keys(blockTypes))('%s', (name) => {
    const { cases: count, refused, surprises } = processorCases(name, cases);
    processorRows.push([name, count, refused, surprises.length]);
    expect(surprises).toEqual([]);
  });
});
