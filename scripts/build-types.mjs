/**
 * Empties `dist/` and writes the type declarations there, one for each source that a public type needs, in the two forms
 * that Node tells apart: `.d.ts` beside ES modules, `.d.cts` beside CommonJS.
 *
 * The compiler's own output serves as it is, but for the extension of the files that it names. (Bundling the
 * declarations gave the same types in ten times the time.)
 */
import { existsSync, mkdirSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { dirname, join, relative, resolve } from 'node:path';
import ts from 'typescript';

const SRC = resolve('src');
const DIST = resolve('dist');

/** A relative import, export or import type of a source file; the compiler writes both kinds of quotes. */
const SPECIFIER = /((?:from|import) ?\(?["']\.{1,2}\/[^"']*)\.ts(["'])/g;

const folders = readdirSync(SRC, { withFileTypes: true }).filter((item) => item.isDirectory());
const entries = ['index.ts', ...folders.map((folder) => `${folder.name}/index.ts`)]
  .map((path) => join(SRC, path))
  .filter((path) => existsSync(path));
const ambient = join(SRC, 'core/host.d.ts');
const bundleText = join(SRC, 'worklet/bundle-text.d.ts');

const config = ts.readConfigFile('tsconfig.node.json', (path) => readFileSync(path, 'utf8'));
const { options } = ts.parseJsonConfigFileContent(config.config, ts.sys, '.');
const program = ts.createProgram([...entries, join(SRC, 'worklet/url.ts'), ambient, bundleText], {
  ...options,
  lib: ['lib.es2023.d.ts', 'lib.dom.d.ts'], // the nodes' types name those of a page; each part is checked by its own project
  noEmit: false,
  declaration: true,
  emitDeclarationOnly: true,
  stripInternal: true,
  rootDir: SRC,
  outDir: DIST,
});

/** @type {Map<string, string>} */
const files = new Map();
const { diagnostics } = program.emit(undefined, (path, text) => files.set(path, text));

// Only now, so that whoever reads dist/ meanwhile finds it whole for as long as possible.
rmSync(DIST, { recursive: true, force: true });
for (const [path, text] of files) {
  mkdirSync(dirname(path), { recursive: true });
  writeFileSync(path, text.replace(SPECIFIER, '$1.js$2'));
  writeFileSync(path.replace(/\.d\.ts$/, '.d.cts'), text.replace(SPECIFIER, '$1.cjs$2'));
}

if (diagnostics.length > 0 || files.size < entries.length) {
  console.error(
    ts.formatDiagnostics(diagnostics, {
      getCanonicalFileName: (path) => path,
      getCurrentDirectory: () => process.cwd(),
      getNewLine: () => '\n',
    }),
  );
  process.exitCode = 1;
}
console.log(`${relative('.', DIST)}: declarations of ${files.size} sources`);
