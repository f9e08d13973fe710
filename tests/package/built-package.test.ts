/**
 * The package as its users get it, from `dist/`: run `npm run build` first (`npm ci` does).
 * Every question is asked in a process of its own, so that no test runner stands between.
 */
import { spawnSync } from 'node:child_process';
import { copyFileSync, existsSync, mkdtempSync, readdirSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import { buildSync } from 'esbuild';
import ts from 'typescript';
import { beforeAll, describe, expect, it } from 'vitest';
import packageJson from '../../package.json';

const ROOT = resolve(import.meta.dirname, '../..');
const DIST = resolve(ROOT, 'dist');

/** The script for audio contexts is no module. */
const NO_MODULE = ['./package.json', './worklet/processors.js'];

const subpaths = Object.keys(packageJson.exports).filter((subpath) => !NO_MODULE.includes(subpath));
const specifiers = subpaths.map((subpath) => `batterhead${subpath.slice(1)}`);

/** Runs code in Node; answers what it prints, read as JSON. */
function ask<Answer>(type: 'module' | 'commonjs', code: string): Answer {
  const { status, stdout, stderr } = spawnSync(process.execPath, [`--input-type=${type}`, '-e', code], {
    cwd: ROOT,
    encoding: 'utf8',
  });
  if (status !== 0) throw new Error(stderr);
  return JSON.parse(stdout) as Answer;
}

beforeAll(() => {
  if (!existsSync(join(DIST, 'index.js'))) throw new Error('dist/ is missing: run `npm run build` first');
});

describe('the built package', () => {
  it('loads by import and by require, with the same names', () => {
    const list = `const names = (all) => all.map((m) => Object.keys(m).filter((k) => k !== 'default' && k !== '__esModule').sort());`;
    const imported = ask<string[][]>(
      'module',
      `${list} console.log(JSON.stringify(names(await Promise.all(${JSON.stringify(specifiers)}.map((s) => import(s))))));`,
    );
    const required = ask<string[][]>(
      'commonjs',
      `${list} console.log(JSON.stringify(names(${JSON.stringify(specifiers)}.map((s) => require(s)))));`,
    );
    expect(imported).toEqual(required);
    expect(specifiers.filter((_, i) => imported[i].length === 0)).toEqual([]);
  });

  it.each(['module', 'commonjs'] as const)('gives a class one identity, from the root or a folder (%s)', (type) => {
    const load = type === 'module' ? (s: string) => `await import('${s}')` : (s: string) => `require('${s}')`;
    const code = `
      const root = ${load('batterhead')};
      const parts = [${specifiers
        .slice(1)
        .filter((specifier) => !/\/(node|worklet)\b/.test(specifier)) // not part of the root
        .map(load)
        .join(', ')}];
      const other = parts.flatMap((part) => Object.keys(part).filter((k) => k !== 'default' && part[k] !== root[k]));
      console.log(JSON.stringify({ other, seen: parts.flatMap((part) => Object.keys(part)).length }));`;
    const { other, seen } = ask<{ other: string[]; seen: number }>(type, code);
    expect(other).toEqual([]);
    expect(seen).toBeGreaterThan(50);
  });

  it('needs neither Node nor an installed package, except under batterhead/node', () => {
    const { metafile } = buildSync({
      entryPoints: subpaths
        .filter((subpath) => subpath !== './node')
        .map((subpath) => join(DIST, subpath === './worklet/url' ? 'worklet/url.js' : `${subpath.slice(2)}/index.js`)),
      bundle: true,
      write: false,
      outdir: 'unused',
      format: 'esm',
      platform: 'neutral',
      mainFields: ['main'],
      external: ['node:*'],
      metafile: true,
      logLevel: 'silent',
    });
    const external = Object.values(metafile.inputs).flatMap((input) =>
      input.imports.filter((found) => found.external).map((found) => found.path),
    );
    const foreign = Object.keys(metafile.inputs).filter((path) => !path.startsWith('dist/'));
    expect({ external, foreign }).toEqual({ external: [], foreign: [] });
    expect(Object.keys(metafile.inputs).length).toBeGreaterThan(subpaths.length);
  });

  it('lets a bundler drop all but the one function used', () => {
    const { outputFiles } = buildSync({
      stdin: { contents: "export { dbToGain } from 'batterhead';", resolveDir: ROOT },
      bundle: true,
      minify: true,
      write: false,
      format: 'esm',
      logLevel: 'silent',
    });
    expect(outputFiles[0].contents.length).toBeLessThanOrEqual(600);
    expect(outputFiles[0].contents.length).toBeGreaterThan(20);
  });

  it.each([
    ['without the types of Node or a page', [], specifiers.filter((name) => !/\/(node|worklet)\b/.test(name))],
    ['with the types of a page', ['lib.dom.d.ts'], specifiers.filter((name) => name.includes('/worklet'))],
  ])('has types that compile by themselves, from ES modules and CommonJS, %s', (_, libraries, imports) => {
    const code = imports.map((specifier, i) => `import * as part${i} from '${specifier}'; void part${i};`).join('\n');
    const files = new Map(['user.mts', 'user.cts'].map((name) => [join(ROOT, name), code]));
    const options: ts.CompilerOptions = {
      target: ts.ScriptTarget.ES2022,
      lib: ['lib.es2022.d.ts', ...libraries],
      module: ts.ModuleKind.NodeNext,
      moduleResolution: ts.ModuleResolutionKind.NodeNext,
      types: [],
      strict: true,
      exactOptionalPropertyTypes: true,
      skipLibCheck: false,
      skipDefaultLibCheck: true,
      noEmit: true,
    };
    const host = ts.createCompilerHost(options);
    const { readFile, fileExists, getSourceFile } = host;
    host.readFile = (path) => files.get(path) ?? readFile(path);
    host.fileExists = (path) => files.has(path) || fileExists(path);
    host.getSourceFile = (path, version) =>
      files.has(path) ? ts.createSourceFile(path, code, version) : getSourceFile(path, version);
    const program = ts.createProgram([...files.keys()], options, host);
    const faults = ts
      .getPreEmitDiagnostics(program)
      .map((found) => `${found.file?.fileName}: ${ts.flattenDiagnosticMessageText(found.messageText, ' ')}`);
    expect(faults).toEqual([]);
    const declarations = program.getSourceFiles().filter((file) => file.fileName.startsWith(DIST));
    expect(declarations.length).toBeGreaterThan(2 * imports.length);
    // `Float64Array<ArrayBuffer>`, which the compiler infers, is an error to compilers before 5.7.
    const tooNew = declarations.filter((file) => /\b(Float|Int|Uint)\d+Array</.test(file.text));
    expect(tooNew.map((file) => file.fileName)).toEqual([]);
  });

  it('names nothing of the machine it was built on', () => {
    const files = readdirSync(DIST, { recursive: true, encoding: 'utf8' }).filter((path) => /\.[cm]?[jt]s$/.test(path));
    expect(files.length).toBeGreaterThan(subpaths.length);
    expect(files.filter((path) => readFileSync(join(DIST, path), 'utf8').includes(ROOT))).toEqual([]);
  });
});

describe('the command line', () => {
  it('is one file that runs without node_modules', () => {
    const folder = mkdtempSync(join(tmpdir(), 'batterhead-cli-'));
    try {
      const file = join(folder, 'cli.cjs');
      copyFileSync(join(DIST, 'cli.cjs'), file);
      const { status, stdout, stderr } = spawnSync(process.execPath, [file, '--help'], {
        cwd: folder,
        encoding: 'utf8',
      });
      expect({ status, stderr }).toEqual({ status: 0, stderr: '' });
      expect(stdout).toContain('batterhead');
      expect(readFileSync(file, 'utf8').startsWith('#!/usr/bin/env node\n')).toBe(true);
    } finally {
      rmSync(folder, { recursive: true, force: true });
    }
  });

  it('has the licence notices of everything bundled beside it', () => {
    const notices = readFileSync(join(DIST, 'THIRD-PARTY-NOTICES.txt'), 'utf8');
    const named = [...notices.matchAll(/^(\S+) \d+\.\d+\.\d+ \(\S+\)$/gm)].map((match) => match[1]);
    expect(named).toEqual(
      expect.arrayContaining(['cli-progress', 'commander', 'fft.js', 'string-width', 'strip-ansi']),
    );
    expect(notices.match(/WITHOUT WARRANTY OF ANY KIND/g)?.length).toBe(named.length); // all of them are MIT
  });
});
