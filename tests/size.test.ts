/**
 * What one import costs the user of a bundler: the root is bundled with that one name, minified, and compressed.
 * Bundles the sources, whose modules are those of the package, so it needs no build.
 */
import { readdirSync } from 'node:fs';
import { join, resolve } from 'node:path';
import { gzipSync } from 'node:zlib';
import { build, buildSync, type Plugin } from 'esbuild';
import ts from 'typescript';
import { describe, expect, it } from 'vitest';

const ROOT = resolve(import.meta.dirname, '..');

interface Size {
  readonly minified: number;
  readonly gzipped: number;
}

/** @throws if the root does not export one of the names. */
function sizeOf(code: string): Size {
  const { outputFiles } = buildSync({
    stdin: { contents: code, resolveDir: ROOT, sourcefile: 'user.js' },
    bundle: true,
    minify: true,
    write: false,
    format: 'esm',
    platform: 'neutral',
    mainFields: ['main'],
    target: 'es2022',
    logLevel: 'silent',
  });
  const bytes = outputFiles[0].contents;
  return { minified: bytes.length, gzipped: gzipSync(bytes, { level: 9 }).length };
}

const importing = (names: string): Size => sizeOf(`export { ${names} } from './src/index.ts';`);

const BUDGETS: readonly { names: string; measure: keyof Size; limit: number }[] = [
  { names: 'dbToGain', measure: 'minified', limit: 600 },
  // The contract that every processor keeps (checks with their messages, guard, pieces, glides) is 2.1 kB of these.
  { names: 'BiquadCascade, peaking', measure: 'gzipped', limit: 3600 },
  { names: 'Compressor', measure: 'gzipped', limit: 5250 },
];

describe('an import from the root', () => {
  it.each(BUDGETS)('of { $names } costs at most $limit bytes $measure', ({ names, measure, limit }) => {
    const size = importing(names);
    expect(size.minified, `{ ${names} } bundles to nothing: the measurement is broken`).toBeGreaterThan(20);
    const figures = `{ ${names} }: ${size.minified} bytes minified, ${size.gzipped} gzipped`;
    expect(size[measure], `${figures}; the budget is ${limit} ${measure}`).toBeLessThanOrEqual(limit);
  });

  it('is measured: everything together costs more than the largest budget', () => {
    const everything = sizeOf("export * from './src/index.ts';");
    expect(everything.gzipped).toBeGreaterThan(Math.max(...BUDGETS.map((budget) => budget.limit)));
  });
});

/** Makes esbuild look into our modules, which `"sideEffects": false` in package.json lets it skip. */
const distrust: Plugin = {
  name: 'distrust',
  setup({ onResolve }) {
    onResolve({ filter: /^\./ }, ({ path, resolveDir }) => ({ path: resolve(resolveDir, path), sideEffects: true }));
  },
};

const DECLARATIONS = [
  ts.isImportDeclaration,
  ts.isFunctionDeclaration,
  ts.isClassDeclaration,
  ts.isVariableStatement,
] as const;

/** Whether loading runs something in it that a bundler may not drop: a call, a spread of an object, a static block. */
function works(node: ts.Node): boolean {
  if (ts.isFunctionLike(node)) return false; // runs later, when somebody calls it
  if (
    ts.isPropertyDeclaration(node) &&
    !ts.getModifiers(node)?.some((word) => word.kind === ts.SyntaxKind.StaticKeyword)
  ) {
    return false;
  }
  const pure = node.getFullText().slice(0, node.getLeadingTriviaWidth()).includes('@__PURE__');
  const calls = ts.isCallExpression(node) || ts.isNewExpression(node) || ts.isTaggedTemplateExpression(node);
  if ((calls && !pure) || ts.isSpreadAssignment(node) || ts.isClassStaticBlockDeclaration(node)) return true;
  return ts.forEachChild(node, works) ?? false;
}

/** Statements that a bundler keeps of modules of which nothing is used, because they work. */
async function topLevelWork(modules: readonly string[]): Promise<string[]> {
  const { outputFiles } = await build({
    stdin: { contents: modules.map((path) => `import ${JSON.stringify(path)};`).join('\n'), resolveDir: ROOT },
    bundle: true,
    write: false,
    format: 'esm',
    platform: 'neutral',
    external: ['fft.js', 'node:*'],
    target: 'es2022',
    logLevel: 'silent',
    plugins: [distrust],
  });
  return ts
    .createSourceFile('left.js', outputFiles[0].text, ts.ScriptTarget.ES2022, true)
    .statements.filter((statement) => !DECLARATIONS.some((isKind) => isKind(statement)) || works(statement))
    .filter((statement) => !ts.isExportDeclaration(statement))
    .map((statement) => statement.getText());
}

describe('a module of which nothing is used', () => {
  const modules = readdirSync(join(ROOT, 'src'), { recursive: true, encoding: 'utf8' })
    .filter((path) => path.endsWith('.ts') && !path.endsWith('.d.ts') && !/^(node|worklet)\b/.test(path))
    .map((path) => `./src/${path}`);

  it('does nothing: no table is built, nothing is registered or logged while loading', async () => {
    expect(modules.length).toBeGreaterThan(50);
    expect(await topLevelWork(modules)).toEqual([]);
  });

  it('would be noticed', async () => {
    expect(await topLevelWork(['./tests/support/top-level-work.ts'])).toEqual([
      expect.stringContaining('new Float64Array(8)'),
      expect.stringContaining('static #made'),
      expect.stringContaining('console.log'),
    ]);
  });
});
