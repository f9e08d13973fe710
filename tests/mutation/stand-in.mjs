/**
 * What the mutated folders' tests use of vitest, without its workers: `describe` and `it` gather the tests of all files in
 * one list, `expect` is vitest's own. The runner then runs a test whenever it likes, in the same process.
 */
import { format } from 'node:util';
import { ASYMMETRIC_MATCHERS_OBJECT, chai, JestAsymmetricMatchers, JestChaiExpect, JestExtend } from '@vitest/expect';

chai.use(JestExtend);
chai.use(JestChaiExpect);
chai.use(JestAsymmetricMatchers);

export const expect = Object.assign(
  (/** @type {unknown} */ value, /** @type {string | undefined} */ message) => chai.expect(value, message),
  /** @type {any} */ (globalThis)[ASYMMETRIC_MATCHERS_OBJECT],
);

/** @typedef {{ file: string, name: string, run: () => unknown }} Test */

/** @type {Test[]} */
let tests = [];
let file = '';
/** @type {string[]} */
let path = [];

/** @param {string} name */
export function inFile(name) {
  file = name;
}

/** The tests gathered since the last call. */
export function takeTests() {
  const taken = tests;
  tests = [];
  return taken;
}

/** @param {string} name @param {() => unknown} run */
export function it(name, run) {
  tests.push({ file, name: [...path, name].join(' '), run });
}

/** @param {string} name @param {() => void} body */
export function describe(name, body) {
  path.push(name);
  body();
  path.pop();
}

/** @param {string} name @param {any} row @param {number} index */
function titled(name, row, index) {
  const values = Array.isArray(row) ? row : [row];
  const filled = name.replaceAll('%#', String(index)).replace(/\$(\w+)/g, (_, key) => format('%s', row[key]));
  return format(filled, ...values.slice(0, filled.split(/%[sdifjoO]/).length - 1));
}

/** @param {(name: string, run: (...row: unknown[]) => unknown) => void} register */
const eachOf =
  (register) =>
  (/** @type {unknown[]} */ rows) =>
  (/** @type {string} */ name, /** @type {(...row: unknown[]) => unknown} */ body) => {
    rows.forEach((row, index) => {
      register(titled(name, row, index), () => (Array.isArray(row) ? body(...row) : body(row)));
    });
  };
it.each = eachOf(it);
describe.each = eachOf(describe);
