import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { relative, resolve } from 'node:path';
import ts from 'typescript';
import { beforeAll, describe, expect, it } from 'vitest';
import packageJson from '../../package.json';

const ROOT = resolve(import.meta.dirname, '../..');
const SRC = resolve(ROOT, 'src');

/** Folders that need more than the language: they are subpaths of their own and not part of the root. */
const NOT_IN_ROOT = ['node', 'worklet'];

const folders = readdirSync(SRC, { withFileTypes: true })
  .filter((item) => item.isDirectory() && existsSync(resolve(SRC, item.name, 'index.ts')))
  .map((item) => item.name);

const indexes = ['index.ts', ...folders.map((folder) => `${folder}/index.ts`)];

describe('public names', () => {
  /** Names that each index exports, types included, with the file that declares them. */
  let exported: Map<string, Map<string, string>>;

  beforeAll(() => {
    const config = ts.readConfigFile(resolve(ROOT, 'tsconfig.json'), (path) => readFileSync(path, 'utf8'));
    const { options } = ts.parseJsonConfigFileContent(config.config, ts.sys, ROOT);
    const files = indexes.map((path) => resolve(SRC, path));
    const program = ts.createProgram(files, { ...options, noLib: true, types: [] }); // names need no library
    const checker = program.getTypeChecker();
    exported = new Map(
      indexes.map((index) => {
        const source = program.getSourceFile(resolve(SRC, index));
        const symbol = source === undefined ? undefined : checker.getSymbolAtLocation(source);
        const names = (symbol === undefined ? [] : checker.getExportsOfModule(symbol)).map((item): [string, string] => {
          const declared = item.flags & ts.SymbolFlags.Alias ? checker.getAliasedSymbol(item) : item;
          const file = declared.declarations?.[0]?.getSourceFile().fileName;
          return [item.name, file === undefined ? 'nowhere' : relative(SRC, file).replaceAll('\\', '/')];
        });
        return [index, new Map(names)];
      }),
    );
  });

  it('were found: the root and every folder export something', () => {
    expect(folders.length).toBeGreaterThanOrEqual(10);
    expect(indexes.filter((index) => (exported.get(index)?.size ?? 0) === 0)).toEqual([]);
  });

  it('of every folder but node and worklet are also exported from the root', () => {
    const root = exported.get('index.ts') ?? new Map<string, string>();
    const missing = folders
      .filter((folder) => !NOT_IN_ROOT.includes(folder))
      .map((folder) => `${folder}/index.ts`)
      .flatMap((index) => [...(exported.get(index) ?? [])].map(([name, file]) => ({ index, name, file })))
      .filter(({ name, file }) => root.get(name) !== file)
      .map(({ index, name, file }) => `${name} of ${index} (${file}); the root has ${root.get(name) ?? 'none'}`);
    expect(missing).toEqual([]);
  });

  it('of the root are all exported from a folder, too', () => {
    const ofFolders = new Set(indexes.slice(1).flatMap((index) => [...(exported.get(index)?.keys() ?? [])]));
    expect([...(exported.get('index.ts')?.keys() ?? [])].filter((name) => !ofFolders.has(name))).toEqual([]);
  });

  it('come from existing declarations', () => {
    const lost = [...exported].flatMap(([index, names]) =>
      [...names].filter(([, file]) => file === 'nowhere').map(([name]) => `${index}: ${name}`),
    );
    expect(lost).toEqual([]);
  });
});

describe('an index', () => {
  it.each(indexes)('%s consists of named re-exports, a folder index of its own files only', (index) => {
    const source = ts.createSourceFile(index, readFileSync(resolve(SRC, index), 'utf8'), ts.ScriptTarget.ES2022);
    const faults = source.statements
      .filter((statement) => {
        if (!ts.isExportDeclaration(statement) || !statement.exportClause) return true;
        if (!ts.isNamedExports(statement.exportClause) || !statement.moduleSpecifier) return true;
        const from = (statement.moduleSpecifier as ts.StringLiteral).text;
        return index === 'index.ts' ? !/^\.\/[a-z]+\/[a-z0-9-]+\.ts$/.test(from) : !/^\.\/[a-z0-9-]+\.ts$/.test(from);
      })
      .map((statement) => statement.getText(source));
    expect(faults).toEqual([]);
  });
});

describe('package.json', () => {
  /** What an audio context loads, and its address. */
  const script = ['./worklet/processors.js', './worklet/url'];

  it('has one subpath for the root and each folder, and no other but the script for audio contexts', () => {
    const expected = ['.', ...folders.map((folder) => `./${folder}`), ...script, './package.json'].sort();
    expect(Object.keys(packageJson.exports).sort()).toEqual(expected);
  });

  it('points every subpath at its own files, types first', () => {
    for (const [subpath, target] of Object.entries(packageJson.exports)) {
      if (subpath === './package.json') continue;
      if (subpath === './worklet/processors.js') {
        expect(target).toBe('./dist/worklet/processors.js');
        continue;
      }
      const file = script.includes(subpath) ? subpath.slice(2) : `${subpath.slice(2)}/index`;
      const path = subpath === '.' ? './dist/index' : `./dist/${file}`;
      expect(target).toEqual({
        import: { types: `${path}.d.ts`, default: `${path}.js` },
        require: { types: `${path}.d.cts`, default: `${path}.cjs` },
      });
      expect(Object.values(target).map((conditions) => Object.keys(conditions)[0])).toEqual(['types', 'types']);
    }
  });

  it('installs nothing for its users, and pins what it is built with', () => {
    expect(Object.keys(packageJson).filter((key) => /^(peer|optional)?dependencies$/i.test(key))).toEqual([]);
    const loose = Object.entries(packageJson.devDependencies).filter(([, version]) => !/^\d+\.\d+\.\d+$/.test(version));
    expect(loose).toEqual([]);
  });

  it('has a changelog entry for its version', () => {
    expect(readFileSync(resolve(ROOT, 'CHANGELOG.md'), 'utf8')).toContain(`## ${packageJson.version}`);
  });
});
