/**
 * A test runner for Stryker that keeps all tests in one process: a mutant costs its tests and nothing else, up to the first
 * that fails. (Vitest starts a worker and loads everything anew for each of them: some five seconds.)
 *
 * A mutant of `src/dynamics/` meets the tests of `tests/dynamics/` that reach it, in the order of what they promise: quick
 * ones, and those that have found other mutants of the same file, first; at least one, and as many as `BUDGET_MS` allows.
 * So the score is a lower bound.
 *
 * What a mutant leaves behind must not kill the next one. So a failed test is run again without the mutant: if it fails
 * then too, its data were spoilt, and all is loaded afresh before the mutant is tried once more.
 */
import { existsSync, mkdirSync, readdirSync, readFileSync, renameSync, writeFileSync } from 'node:fs';
import { resolve } from 'node:path';
import { performance } from 'node:perf_hooks';
import { pathToFileURL } from 'node:url';
import { build } from 'esbuild';
import { FOLDERS } from '../../scripts/mutation-reports.mjs';
import { takeTests } from './stand-in.mjs';

const STAND_IN = pathToFileURL(resolve(import.meta.dirname, 'stand-in.mjs')).href;
const SEED = './tests/support/fast-check-seed.ts';
const OUT = 'temp/tests'; // in Stryker's copy of the project
const BUDGET_MS = 400;
const ENDLESS = 30; // times as many turns of a loop as without the fault: it does not end, or might as well not
const MOST_MUTANTS = 1 << 16;

/** Numbers of Stryker's interface. */
const PASSED = 0;
const FAILED = 1;

const testFiles = () =>
  FOLDERS.flatMap((folder) =>
    readdirSync(`tests/${folder}`)
      .filter((name) => name.endsWith('.test.ts'))
      .map((name) => `./tests/${folder}/${name}`),
  );

/** `dynamics/gate` of a path to `src/dynamics/gate.ts`. @param {string} path */
const placeOf = (path) => path.slice(path.lastIndexOf('/src/') + 5, -3);

/** Stryker's own counting looks up a word for every number, which takes most of the time of a test. */
const COVERAGE = /stryCov_9fa48\(("\d+"[,\s]*)+\)/g;
const counters = (/** @type {string} */ call) =>
  `(${[...call.matchAll(/\d+(?=")/g)].map(([id]) => `mutantHits[${id}]++`).join(',')})`;

/**
 * Bundles the tests with the instrumented sources. Once it is known which test reaches which mutant, nothing is counted.
 * @param {string} name @param {boolean} counting
 */
async function bundle(name, counting) {
  const path = resolve(OUT, `${name}.mjs`);
  if (existsSync(path)) return path; // of the process that ran before this one
  mkdirSync(OUT, { recursive: true });
  await build({
    stdin: {
      contents: [SEED, ...testFiles()].map((file) => `import '${file}';`).join('\n'),
      resolveDir: process.cwd(),
    },
    absWorkingDir: process.cwd(), // Stryker's copy; esbuild would take the folder in which it was loaded
    bundle: true,
    outfile: `${path}.new`,
    format: 'esm',
    platform: 'node',
    target: 'es2022',
    packages: 'external',
    ignoreAnnotations: true, // the package calls its files free of side effects, tests included
    plugins: [
      {
        name: 'tests',
        setup(builder) {
          builder.onResolve({ filter: /^vitest$/ }, () => ({ path: STAND_IN, external: true }));
          builder.onLoad({ filter: /\.test\.ts$/ }, ({ path: file }) => ({
            contents: `import { inFile } from 'vitest';inFile('${file.slice(file.lastIndexOf('/tests/') + 1)}');${readFileSync(file, 'utf8')}`,
            loader: 'ts',
          }));
          builder.onLoad({ filter: /\/src\/.*\.ts$/ }, ({ path: file }) => ({
            contents: readFileSync(file, 'utf8').replaceAll(COVERAGE, (call) => (counting ? counters(call) : '0')),
            loader: 'ts',
          }));
        },
      },
    ],
  });
  renameSync(`${path}.new`, path);
  return path;
}

/** Where the instrumented sources find what they look at. @type {any} */
const shared = globalThis;

class InProcessRunner {
  /** @type {{ activeMutant?: string | undefined, hitCount: number, hitLimit: number }} */
  #stryker = (shared.__stryker__ = { hitCount: 0, hitLimit: 0 });
  #hits = (shared.mutantHits = new Float64Array(MOST_MUTANTS));
  /** @type {Map<string, import('./stand-in.mjs').Test>} */
  #tests = new Map();
  /** @type {Record<string, number>} */
  #milliseconds = {};
  /** @type {Record<string, Record<string, number>>} how often a test passes the place of a mutant */
  #turns = {};
  /** @type {Record<string, Record<string, number>>} how many mutants of a file a test has found */
  #found = {};
  #path = '';
  #loads = 0;

  capabilities() {
    return { reloadEnvironment: true };
  }

  /** @param {{ files?: string[] }} options */
  async dryRun({ files = [] }) {
    const folders = new Set(files.map((path) => placeOf(path).split('/')[0]));
    await this.#load(await bundle('counting', true));
    const atLoad = this.#takeHits();
    const tests = [];
    /** @type {Record<string, Record<number, number>>} */
    const perTest = {};
    for (const [id, { file, name }] of this.#tests) {
      if (!folders.has(file.split('/')[1])) continue;
      const start = performance.now();
      const { user } = process.cpuUsage();
      const failureMessage = await this.#failure(id);
      this.#milliseconds[id] = (process.cpuUsage().user - user) / 1000;
      const timeSpentMs = performance.now() - start;
      tests.push({
        id,
        name,
        fileName: resolve(file),
        timeSpentMs,
        failureMessage,
        status: failureMessage ? FAILED : PASSED,
      });
      perTest[id] = this.#takeHits();
    }
    writeFileSync(`${OUT}/measured.json`, JSON.stringify([this.#milliseconds, perTest])); // for the other processes
    return { status: 'complete', tests, mutantCoverage: { static: atLoad, perTest } };
  }

  /** @param {{ activeMutant: { id: string, fileName: string }, testFilter: string[] }} options */
  async mutantRun({ activeMutant, testFilter }) {
    if (this.#path === '') {
      this.#path = await bundle(`mutants-${process.env['STRYKER_MUTATOR_WORKER']}`, false);
      [this.#milliseconds, this.#turns] = JSON.parse(readFileSync(`${OUT}/measured.json`, 'utf8'));
      await this.#load(this.#path);
    }
    const stryker = this.#stryker;
    const attempt = async (/** @type {string} */ id) => {
      stryker.activeMutant = activeMutant.id;
      stryker.hitCount = 0;
      stryker.hitLimit = ENDLESS * this.#turns[id][activeMutant.id];
      const message = await this.#failure(id);
      stryker.activeMutant = undefined;
      return message;
    };
    const place = placeOf(activeMutant.fileName);
    const found = (this.#found[place] ??= {});
    const ids = this.#chosen(place, testFilter);
    for (const id of ids) {
      let failureMessage = await attempt(id);
      if (stryker.hitCount > stryker.hitLimit) return { status: 'timeout', reason: 'too many turns' };
      if (failureMessage !== undefined && (await this.#failure(id)) !== undefined) {
        await this.#load(this.#path);
        failureMessage = await attempt(id);
      }
      if (failureMessage === undefined) continue;
      found[id] = (found[id] ?? 0) + 1;
      return { status: 'killed', killedBy: [id], failureMessage, nrOfTests: 1 };
    }
    return { status: 'survived', nrOfTests: ids.length };
  }

  /**
   * The tests to run, the most promising first: mutants found in a millisecond.
   * @param {string} place @param {string[]} candidates
   */
  #chosen(place, candidates) {
    const [folder] = place.split('/');
    const promise = (/** @type {string} */ id) =>
      (Math.min(4, this.#found[place][id] ?? 0) + (id.startsWith(`tests/${place}.test.ts`) ? 2 : 1)) /
      (1 + this.#milliseconds[id]);
    let left = BUDGET_MS;
    return candidates
      .filter((id) => id.startsWith(`tests/${folder}/`))
      .sort((a, b) => promise(b) - promise(a))
      .filter((id, index) => {
        if (index > 0 && this.#milliseconds[id] > left) return false;
        left -= this.#milliseconds[id];
        return true;
      });
  }

  /** @param {string} path */
  async #load(path) {
    await import(`${pathToFileURL(path).href}?${++this.#loads}`);
    this.#tests.clear();
    for (const test of takeTests()) {
      const id = `${test.file}#${test.name}`;
      this.#tests.set(this.#tests.has(id) ? `${id} (${this.#tests.size})` : id, test);
    }
  }

  /** How often each mutant's place was passed since the last call. */
  #takeHits() {
    /** @type {Record<number, number>} */
    const hits = {};
    for (let id = 0; id < MOST_MUTANTS; id++) if (this.#hits[id] > 0) hits[id] = this.#hits[id];
    this.#hits.fill(0);
    return hits;
  }

  /** What the test says when it fails. @param {string} id */
  async #failure(id) {
    try {
      await this.#tests.get(id)?.run();
      return undefined;
    } catch (error) {
      return error instanceof Error && error.message !== '' ? error.message : 'failed';
    }
  }
}

export const strykerPlugins = [{ kind: 'TestRunner', name: 'in-process', injectableClass: InProcessRunner }];
