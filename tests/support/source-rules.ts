/**
 * The rules of the source tree as functions of a list of files, so that the tests can also plant faults:
 * which file may import which, what a file is called, how long it may be.
 */
import { posix } from 'node:path';
import ts from 'typescript';

/** A source file: its path below `src/`, e.g. `dynamics/gate.ts`, and its text. */
export interface SourceFile {
  readonly path: string;
  readonly text: string;
}

/** Folders from the bottom up; those in one row stand side by side. */
export const LAYERS: readonly (readonly string[])[] = [
  ['core'],
  ['filters', 'simd', 'wav', 'plots'],
  ['dynamics', 'saturation', 'reverb', 'meters'],
  ['alignment'],
  ['hits'],
  ['comparison', 'simulation'],
  ['blocks'],
  ['mix'],
  ['suggestion', 'report'],
  ['worklet', 'node'],
];

/** Imports between folders of one layer, each with its reason. */
export const SIDEWAYS: Readonly<Record<string, string>> = {};

/**
 * What a folder may not import although it lies lower. The simulator judges the rest, so it shares no delay and no
 * filter with what it judges.
 */
export const FORBIDDEN: Readonly<Record<string, readonly string[]>> = {
  simulation: ['core/delay-line.ts', 'filters/', 'dynamics/', 'reverb/', 'alignment/', 'hits/'],
};

/** Package that may be imported, and the only file that may do so (a folder ends in `/`). */
const PACKAGES: Readonly<Record<string, string>> = {
  'fft.js': 'core/fft.ts',
  commander: 'node/',
  'cli-progress': 'node/',
  'midi-file': 'node/',
};

const MAX_LINES = 300;
const LENGTH_REASON = /Over 300 lines because \S/;
const KEBAB_CASE = /^[a-z0-9]+(-[a-z0-9]+)*(\.d)?\.ts$/;

const folderOf = (path: string): string => (path.includes('/') ? path.slice(0, path.indexOf('/')) : '');
const layerOf = (folder: string): number => LAYERS.findIndex((row) => row.includes(folder));
const within = (path: string, place: string): boolean =>
  place.endsWith('/') ? path.startsWith(place) : path === place;

/** Everything a file imports, re-exports or imports dynamically; types too. */
export function importsOf(file: SourceFile): string[] {
  return ts.preProcessFile(file.text, true, true).importedFiles.map((found) => found.fileName);
}

function importFault(from: string, specifier: string, paths: ReadonlySet<string>): string | undefined {
  const folder = folderOf(from);
  if (specifier.startsWith('node:')) return folder === 'node' ? undefined : 'node: outside src/node';
  if (!specifier.startsWith('.')) {
    const place = Object.hasOwn(PACKAGES, specifier) ? PACKAGES[specifier] : undefined;
    if (place === undefined) return 'an unlisted package';
    return within(from, place) ? undefined : `only ${place} may`;
  }
  if (specifier === '../../package.json' && folder === 'node') return undefined; // the version of the command line
  // `?bundle-text` asks for the file's bundle as a string.
  const target = posix.normalize(posix.join(posix.dirname(from), specifier.replace(/\?bundle-text$/, '')));
  if (!paths.has(target)) return 'no such file (write the .ts extension)';
  if (posix.basename(target) === 'index.ts') return 'an index: import the file itself';
  const targetFolder = folderOf(target);
  if (from === 'index.ts') {
    return targetFolder === 'node' || targetFolder === 'worklet' ? 'the root leaves out node and worklet' : undefined;
  }
  if (folder === targetFolder) return undefined;
  if (layerOf(targetFolder) === layerOf(folder)) {
    return Object.hasOwn(SIDEWAYS, `${folder} -> ${targetFolder}`) ? undefined : 'sideways within a layer';
  }
  if (layerOf(targetFolder) > layerOf(folder)) return 'upwards';
  const forbidden = FORBIDDEN[folder]?.find((place) => within(target, place));
  return forbidden === undefined ? undefined : `${folder} stays independent of ${forbidden}`;
}

/** One line for every import that breaks the order of the layers, and for every folder that has no layer. */
export function layerFaults(files: readonly SourceFile[]): string[] {
  const paths = new Set(files.map((file) => file.path));
  const faults: string[] = [];
  for (const file of files) {
    const folder = folderOf(file.path);
    if (folder !== '' && layerOf(folder) < 0) faults.push(`${file.path}: folder ${folder} has no layer`);
    for (const specifier of importsOf(file)) {
      const fault = importFault(file.path, specifier, paths);
      if (fault !== undefined) faults.push(`${file.path} imports ${specifier}: ${fault}`);
    }
  }
  return faults;
}

/** Every import cycle, once, as `a.ts -> b.ts -> a.ts`. Types count: a page is read before the pages it stands on. */
export function importCycles(files: readonly SourceFile[]): string[] {
  const targets = new Map(
    files.map((file) => [
      file.path,
      importsOf(file)
        .filter((specifier) => specifier.startsWith('.'))
        .map((specifier) => posix.normalize(posix.join(posix.dirname(file.path), specifier))),
    ]),
  );
  const cycles: string[] = [];
  const finished = new Set<string>();
  const trail: string[] = [];
  const visit = (path: string): void => {
    if (finished.has(path)) return;
    const start = trail.indexOf(path);
    if (start >= 0) {
      cycles.push([...trail.slice(start), path].join(' -> '));
      return;
    }
    trail.push(path);
    for (const target of targets.get(path) ?? []) visit(target);
    trail.pop();
    finished.add(path);
  };
  for (const path of targets.keys()) visit(path);
  return cycles;
}

/** Files whose name is not kebab-case, that are too long without a reason, or that have no module header. */
export function pageFaults(files: readonly SourceFile[]): string[] {
  return files.flatMap(({ path, text }) => {
    const faults: string[] = [];
    const lines = text.split('\n').length - (text.endsWith('\n') ? 1 : 0);
    const header = /^\s*\/\*\*[\s\S]*?\*\//.exec(text)?.[0] ?? '';
    if (!KEBAB_CASE.test(posix.basename(path))) faults.push(`${path}: file names are kebab-case`);
    if (lines > MAX_LINES && !LENGTH_REASON.test(header.replace(/\s*\n\s*\*\s*/g, ' '))) {
      faults.push(`${path}: ${lines} lines, and no "Over 300 lines because ..." in its header`);
    }
    if (!path.endsWith('.d.ts') && posix.basename(path) !== 'index.ts' && !header.includes('@module')) {
      faults.push(`${path}: no module header that ends with @module`);
    }
    return faults;
  });
}
