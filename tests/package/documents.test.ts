/** The documents at the root: their examples compile and run, their links lead somewhere, the names they give exist. */
import { spawnSync } from 'node:child_process';
import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { dirname, join, resolve } from 'node:path';
import { buildSync } from 'esbuild';
import ts from 'typescript';
import { describe, expect, it } from 'vitest';
import packageJson from '../../package.json';

const ROOT = resolve(import.meta.dirname, '../..');

const guides = existsSync(join(ROOT, 'docs'))
  ? readdirSync(join(ROOT, 'docs'), { encoding: 'utf8', recursive: true })
  : [];
const documents = [
  'README.md',
  'DEVELOPERS.md',
  'CHANGELOG.md',
  ...guides.filter((path) => path.endsWith('.md')).map((path) => `docs/${path}`),
];
const textOf = (document: string): string => readFileSync(join(ROOT, document), 'utf8');

/** Sources with examples in their comments. */
const sources = readdirSync(join(ROOT, 'src'), { encoding: 'utf8', recursive: true })
  .filter((path) => path.endsWith('.ts') && textOf(`src/${path}`).includes('@example'))
  .map((path) => `src/${path}`);

/** Every TypeScript example, with where it stands. */
const examples = [...documents, ...sources].flatMap((document) =>
  [...textOf(document).matchAll(/^(?: \* )?```ts\n([\s\S]*?)^(?: \* )?```$/gm)].map((match, index) => ({
    name: `${document}, example ${index + 1}`,
    code: match[1].replaceAll(/^ \* ?/gm, ''),
  })),
);

/** Where an import of the package leads inside the sources. */
const aliases = Object.fromEntries(
  Object.keys(packageJson.exports)
    .filter((subpath) => subpath !== './package.json')
    .map((subpath) => [`batterhead${subpath.slice(1)}`, join(ROOT, 'src', subpath.slice(2), 'index.ts')]),
);

describe('examples', () => {
  it('were found', () => {
    expect(examples.length).toBeGreaterThanOrEqual(2);
  });

  it('compile under the strict settings of the project', () => {
    const files = new Map(examples.map(({ code }, index) => [join(ROOT, `example-${index}.ts`), code]));
    const options: ts.CompilerOptions = {
      target: ts.ScriptTarget.ES2022,
      lib: ['lib.es2023.d.ts'],
      module: ts.ModuleKind.ESNext,
      moduleResolution: ts.ModuleResolutionKind.Bundler,
      moduleDetection: ts.ModuleDetectionKind.Force,
      types: ['node'],
      strict: true,
      exactOptionalPropertyTypes: true,
      allowImportingTsExtensions: true,
      skipLibCheck: true,
      noEmit: true,
      paths: Object.fromEntries(Object.entries(aliases).map(([name, path]) => [name, [path]])),
    };
    const host = ts.createCompilerHost(options);
    const { readFile, fileExists, getSourceFile } = host;
    host.readFile = (path) => files.get(path) ?? readFile(path);
    host.fileExists = (path) => files.has(path) || fileExists(path);
    host.getSourceFile = (path, version) => {
      const code = files.get(path);
      return code === undefined ? getSourceFile(path, version) : ts.createSourceFile(path, code, version);
    };
    const names = [...files.keys()];
    const program = ts.createProgram([...names, join(ROOT, 'src/core/host.d.ts')], options, host);
    const faults = names.flatMap((name, index) => {
      const source = program.getSourceFile(name);
      return [...program.getSyntacticDiagnostics(source), ...program.getSemanticDiagnostics(source)].map(
        (found) => `${examples[index].name}: ${ts.flattenDiagnosticMessageText(found.messageText, ' ')}`,
      );
    });
    expect(faults).toEqual([]);
  });

  it.each(examples)('$name runs', ({ code }) => {
    const { outputFiles } = buildSync({
      stdin: { contents: code, resolveDir: ROOT, loader: 'ts' },
      bundle: true,
      write: false,
      format: 'esm',
      platform: 'node',
      target: 'node20',
      alias: aliases,
      logLevel: 'silent',
    });
    const { status, stdout, stderr } = spawnSync(process.execPath, ['--input-type=module', '-'], {
      input: outputFiles[0].text,
      encoding: 'utf8',
    });
    expect({ status, stderr }).toEqual({ status: 0, stderr: '' });
    expect(stdout).not.toMatch(/NaN|undefined/);
    // What a comment says is printed: numbers, true or false, up to a colon, a semicolon or a blank before words.
    const printed = stdout.trim().split('\n');
    const calls = [...code.matchAll(/^console\.log\(.*\);(?: \/\/ (.*))?$/gm)].map((call) => call[1] ?? '');
    if (calls.length !== printed.length) return; // in a loop
    calls.forEach((comment, line) => {
      const [, promised = ''] = /^(true|false|-?\d[-\d., ]*?)(?=$|[:;]| [a-z])/.exec(comment) ?? [];
      expect(printed[line].startsWith(promised), `${comment}, got ${printed[line]}`).toBe(true);
    });
  });
});

describe('links', () => {
  const links = documents.flatMap((document) =>
    [...textOf(document).matchAll(/\]\((?!https?:)([^)#\s]*)(#[^)\s]*)?\)/g)].map((match) => ({
      document,
      target: match[1] === '' ? join(ROOT, document) : join(ROOT, dirname(document), match[1]),
      anchor: match[2]?.slice(1),
    })),
  );

  /** The anchors of a document's headings: lower case, punctuation dropped, blanks to hyphens. */
  const anchorsOf = (path: string): string[] =>
    [...readFileSync(path, 'utf8').matchAll(/^#+ (.*)$/gm)].map((heading) =>
      heading[1]
        .toLowerCase()
        .replace(/[^\w -]/g, '')
        .replaceAll(' ', '-'),
    );

  it('lead to files and headings that exist', () => {
    expect(links.length).toBeGreaterThan(20);
    const broken = links
      .filter(
        ({ target, anchor }) => !existsSync(target) || (anchor !== undefined && !anchorsOf(target).includes(anchor)),
      )
      .map(({ document, target, anchor }) => `${document}: ${target.slice(ROOT.length + 1)} ${anchor ?? ''}`);
    expect(broken).toEqual([]);
  });
});

describe('the table of the README', () => {
  const rows = [...textOf('README.md').matchAll(/^\|[^|]*\| ((?:`\w+`,? )+)from `(batterhead\/\w+)`/gm)];

  it('names only what is exported where it says', () => {
    expect(rows.length).toBeGreaterThanOrEqual(12);
    const missing = rows.flatMap(([, names, specifier]) => {
      const index = aliases[specifier];
      const text = existsSync(index) ? readFileSync(index, 'utf8') : '';
      return [...names.matchAll(/\w+/g)]
        .filter(([name]) => !new RegExp(`\\b${name}\\b`).test(text))
        .map(([name]) => `${name} from ${specifier}`);
    });
    expect(missing).toEqual([]);
  });
});

describe('npm commands', () => {
  it('that the documents name exist', () => {
    const named = documents.flatMap((document) => [...textOf(document).matchAll(/npm (?:run )?([\w:]+)/g)]);
    const known = [...Object.keys(packageJson.scripts), 'ci', 'cit', 'run', 'install', 'pack'];
    expect(named.length).toBeGreaterThan(10);
    expect([...new Set(named.map((match) => match[1]))].filter((name) => !known.includes(name))).toEqual([]);
  });
});
