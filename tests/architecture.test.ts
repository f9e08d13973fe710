import { readdirSync, readFileSync } from 'node:fs';
import { join, relative, resolve } from 'node:path';
import { describe, expect, it } from 'vitest';
import {
  FORBIDDEN,
  importCycles,
  importsOf,
  LAYERS,
  layerFaults,
  pageFaults,
  SIDEWAYS,
  type SourceFile,
} from './support/source-rules.ts';

const SRC = resolve(import.meta.dirname, '../src');

const sources: SourceFile[] = readdirSync(SRC, { recursive: true, withFileTypes: true })
  .filter((item) => item.isFile())
  .map((item) => join(item.parentPath, item.name))
  .map((path) => ({ path: relative(SRC, path).replaceAll('\\', '/'), text: readFileSync(path, 'utf8') }));

/** Far below the number of files there are; a checker that finds nothing to check must not pass. */
const FILES_AT_LEAST = 60;

/** Synthetic sources: path -> what it imports. */
const tree = (files: Readonly<Record<string, readonly string[]>>): SourceFile[] =>
  Object.entries(files).map(([path, imports]) => ({
    path,
    text: imports.map((specifier) => `import { x } from '${specifier}';\n`).join(''),
  }));

describe('the source tree', () => {
  it('was found', () => {
    expect(sources.length).toBeGreaterThanOrEqual(FILES_AT_LEAST);
    expect(sources.flatMap(importsOf).length).toBeGreaterThanOrEqual(FILES_AT_LEAST);
    const folders = new Set(sources.map((file) => file.path.split('/')[0]));
    expect([...folders]).toEqual(expect.arrayContaining(['core', 'filters', 'dynamics', 'mix', 'node', 'index.ts']));
  });

  it('holds TypeScript only', () => {
    expect(sources.map((file) => file.path).filter((path) => !path.endsWith('.ts'))).toEqual([]);
  });

  it('imports its own folder and lower layers only, files and never an index, node: in src/node alone', () => {
    expect(layerFaults(sources)).toEqual([]);
  });

  it('has no import cycle', () => {
    expect(importCycles(sources)).toEqual([]);
  });

  it('is made of pages: kebab-case, a module header, at most 300 lines or a reason', () => {
    expect(pageFaults(sources)).toEqual([]);
  });

  it('lists no exception that nothing uses', () => {
    const folders = LAYERS.flat();
    const named = [...Object.keys(FORBIDDEN), ...Object.keys(SIDEWAYS).flatMap((pair) => pair.split(' -> '))];
    expect(named.filter((folder) => !folders.includes(folder))).toEqual([]);
    const used = new Set(
      sources.flatMap((file) =>
        importsOf(file).map((to) => `${file.path.split('/')[0]} -> ${/^\.\.\/([^/]+)\//.exec(to)?.[1]}`),
      ),
    );
    expect(Object.keys(SIDEWAYS).filter((pair) => !used.has(pair))).toEqual([]);
  });
});

describe('the checker of layers', () => {
  const valid = {
    'core/decibels.ts': [],
    'core/fft.ts': ['fft.js'],
    'filters/equaliser.ts': ['../core/decibels.ts'],
    'dynamics/gate.ts': ['../core/decibels.ts', '../filters/equaliser.ts', './detector.ts'],
    'dynamics/detector.ts': ['../core/decibels.ts'],
    'node/cli.ts': ['node:fs', 'commander', '../../package.json', '../dynamics/gate.ts'],
    'index.ts': ['./dynamics/gate.ts', './core/decibels.ts'],
  };

  it('accepts a tree in order', () => {
    expect(layerFaults(tree(valid))).toEqual([]);
  });

  it.each<[string, Readonly<Record<string, readonly string[]>>]>([
    ['upwards', { 'core/delay.ts': ['../filters/equaliser.ts'] }],
    ['upwards', { 'core/delay.ts': ['../index.ts', '../dynamics/gate.ts'], 'index.ts': [] }],
    ['sideways within a layer', { 'dynamics/a.ts': ['../reverb/b.ts'], 'reverb/b.ts': [] }],
    ['sideways within a layer', { 'worklet/a.ts': ['../node/cli.ts'] }],
    ['an index: import the file itself', { 'filters/index.ts': [], 'dynamics/a.ts': ['../filters/index.ts'] }],
    ['node: outside src/node', { 'wav/reader.ts': ['node:fs'] }],
    ['only core/fft.ts may', { 'meters/spectrum.ts': ['fft.js'] }],
    ['an unlisted package', { 'meters/spectrum.ts': ['left-pad'] }],
    ['an unlisted package', { 'meters/spectrum.ts': ['fs'] }],
    ['no such file', { 'mix/a.ts': ['../../package.json'] }],
    ['no such file', { 'filters/a.ts': ['../core/decibels'] }],
    ['the root leaves out node and worklet', { 'index.ts': ['./node/cli.ts'] }],
    ['simulation stays independent of filters/', { 'simulation/room.ts': ['../filters/equaliser.ts'] }],
    ['folder tools has no layer', { 'tools/a.ts': [] }],
  ])('detects: %s', (fault, files) => {
    expect(layerFaults(tree({ ...valid, ...files })).join('\n')).toContain(fault);
  });

  it.each([
    ["export { gate } from '../dynamics/gate.ts';"],
    ["import type { Gate } from '../dynamics/gate.ts';"],
    ["const gate = await import('../dynamics/gate.ts');"],
    ["export type Gate = import('../dynamics/gate.ts').Gate;"],
    ["import '../dynamics/gate.ts';"],
  ])('sees the import in %s', (text) => {
    const files = [...tree(valid), { path: 'core/planted.ts', text }];
    expect(layerFaults(files)).toEqual(['core/planted.ts imports ../dynamics/gate.ts: upwards']);
  });
});

describe('the checker of cycles', () => {
  it('finds a cycle of three and a file that imports itself, and accepts a diamond', () => {
    const cycle = { 'a.ts': ['./b.ts'], 'b.ts': ['./c.ts'], 'c.ts': ['./a.ts'], 'd.ts': ['./d.ts'] };
    expect(importCycles(tree(cycle))).toEqual(['a.ts -> b.ts -> c.ts -> a.ts', 'd.ts -> d.ts']);
    expect(importCycles(tree({ 'a.ts': ['./b.ts', './c.ts'], 'b.ts': ['./d.ts'], 'c.ts': ['./d.ts'] }))).toEqual([]);
  });
});

describe('the checker of pages', () => {
  const header = '/**\n * One sentence.\n *\n * @module\n */\n';
  const page = (path: string, lines: number, head = header): SourceFile => ({
    path,
    text: head + '// line\n'.repeat(lines - head.split('\n').length + 1),
  });

  it('accepts exactly 300 lines and refuses 301, unless the header says why', () => {
    const why = header.replace(' * @module', ' * Over 300 lines because it is one\n * table.\n *\n * @module');
    expect(pageFaults([page('core/a.ts', 300)])).toEqual([]);
    expect(pageFaults([page('core/a.ts', 301)])).toEqual([expect.stringContaining('core/a.ts: 301 lines')]);
    expect(pageFaults([page('core/a.ts', 301, why)])).toEqual([]);
  });

  it.each(['core/DelayLine.ts', 'core/delay_line.ts', 'core/delay--line.ts'])('refuses the name %s', (path) => {
    expect(pageFaults([page(path, 10)])).toEqual([`${path}: file names are kebab-case`]);
  });

  it('refuses a page without a header, except an index', () => {
    const text = 'export {};\n';
    expect(pageFaults([{ path: 'core/a.ts', text }])).toEqual([expect.stringContaining('no module header')]);
    expect(pageFaults([{ path: 'core/index.ts', text }])).toEqual([]);
  });
});
