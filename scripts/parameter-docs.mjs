/**
 * Reads the doc comments of every exported `*Parameters` table in `src/` and writes them where they are needed:
 *
 *     src/<folder>/gate.ts  --- gateParameters --+--> src/blocks/parameter-descriptions.ts   (for the JSON schema)
 *                                                +--> docs/parameters.md                     (for people)
 *
 * The meaning comes from the comments through the TypeScript compiler, so that rows spread from another object keep theirs;
 * the numbers come from running the tables. `--check` writes nothing and fails when a file is out of date.
 */
import { existsSync, readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join, relative } from 'node:path';
import { pathToFileURL } from 'node:url';
import { buildSync } from 'esbuild';
import prettier from 'prettier';
import ts from 'typescript';

/**
 * @typedef {{ default: number, min: number, max: number | 'nyquist', integer?: boolean, fixed?: boolean }} NumberRow
 * @typedef {{ default: string | number, choices: readonly (string | number)[], fixed?: boolean }} ChoiceRow
 * @typedef {{ default: boolean, fixed?: boolean }} SwitchRow
 * @typedef {NumberRow | ChoiceRow | SwitchRow} Row
 * @typedef {{ name: string, file: string, rows: Record<string, Row>, meanings: Record<string, string> }} Table
 */

const TABLE_NAME = /^[a-z]\w*Parameters$/;

/** @type {readonly (readonly [suffix: string, unit: string])[]} */
const UNITS = [
  ['Db', 'dB'],
  ['Hz', 'Hz'],
  ['Ms', 'ms'],
  ['Seconds', 's'],
  ['Samples', 'samples'],
  ['Lufs', 'LUFS'],
  ['Percent', '%'],
  ['Octaves', 'octaves'],
  ['Metres', 'm'],
  ['Degrees', 'degrees'],
];

/**
 * @param {string} folder
 * @returns {string[]} every TypeScript source below it, sorted
 */
function sourceFiles(folder) {
  return readdirSync(folder, { withFileTypes: true, recursive: true })
    .filter((item) => item.isFile() && /(?<!\.d)\.ts$/.test(item.name))
    .map((item) => join(item.parentPath, item.name))
    .sort();
}

/**
 * The doc comments of the tables, row by row.
 * @param {readonly string[]} files
 * @returns {Omit<Table, 'rows'>[]}
 */
function readMeanings(files) {
  const program = ts.createProgram(files, {
    target: ts.ScriptTarget.ES2022,
    module: ts.ModuleKind.ESNext,
    moduleResolution: ts.ModuleResolutionKind.Bundler,
    allowImportingTsExtensions: true,
    noEmit: true,
    strict: true,
    lib: ['lib.es5.d.ts'], // comments and names need little of the library, which would take most of the time
    types: [],
  });
  const checker = program.getTypeChecker();
  /** @type {Omit<Table, 'rows'>[]} */
  const tables = [];
  for (const file of files) {
    const source = program.getSourceFile(file);
    const moduleSymbol = source && checker.getSymbolAtLocation(source);
    for (const symbol of moduleSymbol ? checker.getExportsOfModule(moduleSymbol) : []) {
      const declaration = symbol.valueDeclaration;
      // A re-export has its declaration in another file, where it is met anyway.
      if (!TABLE_NAME.test(symbol.name) || !declaration || declaration.getSourceFile() !== source) continue;
      if (!ts.isVariableDeclaration(declaration)) continue;
      /** @type {Record<string, string>} */
      const meanings = {};
      for (const row of checker.getPropertiesOfType(checker.getTypeOfSymbol(symbol))) {
        const comment = ts.displayPartsToString(row.getDocumentationComment(checker));
        meanings[row.name] = comment
          .replace(/\{@link\s+([^}|\s]+)[^}]*\}/g, '`$1`')
          .replace(/\s+/g, ' ')
          .trim();
      }
      tables.push({ name: symbol.name, file, meanings });
    }
  }
  return tables;
}

/**
 * The tables themselves, by bundling and running the files that hold them.
 * @param {readonly Omit<Table, 'rows'>[]} tables
 * @param {string} root
 * @returns {Promise<Record<string, Record<string, Row>>>}
 */
async function runTables(tables, root) {
  const contents = tables.map(
    ({ name, file }) => `export { ${name} } from ${JSON.stringify('./' + relative(root, file))};`,
  );
  const { outputFiles } = buildSync({
    stdin: { contents: contents.join('\n'), resolveDir: root, loader: 'ts' },
    bundle: true,
    write: false,
    format: 'esm',
    platform: 'neutral',
    mainFields: ['main'],
    target: 'es2022',
    logLevel: 'error',
  });
  return import(`data:text/javascript;base64,${Buffer.from(outputFiles[0]?.contents ?? []).toString('base64')}`);
}

/**
 * Every parameter table below `src`, with the meaning of each row.
 * @param {string} src
 * @param {string} root - the folder whose `node_modules` serves the sources
 * @returns {Promise<Table[]>}
 */
export async function readTables(src, root) {
  const described = readMeanings(sourceFiles(src).filter((file) => /Parameters\b/.test(readFileSync(file, 'utf8'))));
  for (const { name, file } of described) {
    const first = described.find((table) => table.name === name);
    if (first?.file !== file) throw new Error(`${file}: a second ${name}, the first is in ${first?.file}`);
  }
  const values = described.length > 0 ? await runTables(described, root) : {};
  const tables = described.map((table) => ({ ...table, rows: values[table.name] ?? {} }));
  const faults = tables.flatMap(({ name, file, rows, meanings }) =>
    Object.keys(rows)
      .filter((row) => !meanings[row])
      .map((row) => `${file}: ${name}.${row} has no doc comment`),
  );
  if (faults.length > 0) throw new Error(faults.join('\n'));
  return tables;
}

/** @param {string} parameter */
function unitOf(parameter) {
  return UNITS.find(([suffix]) => parameter.endsWith(suffix))?.[1] ?? '';
}

/** @param {Row} row */
function rangeOf(row) {
  if ('choices' in row) return row.choices.map((choice) => `\`${choice}\``).join(', ');
  if (!('min' in row)) return 'true or false';
  return `${row.min} to ${row.max === 'nyquist' ? '0.49 of the sample rate' : row.max}${row.integer ? ', whole' : ''}`;
}

/** @param {string} name e.g. `gateParameters` -> `gate` */
const blockName = (name) => name.replace(/Parameters$/, '');

/** @param {readonly Table[]} tables */
export function descriptionsModule(tables) {
  const blocks = tables.map(({ name, rows, meanings }) => {
    const lines = Object.keys(rows).map((row) => `${JSON.stringify(row)}: ${JSON.stringify(meanings[row])},`);
    return `${blockName(name)}: {\n${lines.join('\n')}\n},`;
  });
  return `/**
 * What every parameter means, by block and name, for the JSON schema of a plan and for whoever builds a user interface.
 * Written by \`npm run docs:parameters\` from the doc comments of the parameter tables: change those, not this.
 *
 * Over 300 lines because it is one list, read by machines.
 *
 * @module
 */

/** Descriptions by block name (\`gate\` for \`gateParameters\`) and parameter name. */
export const parameterDescriptions: Readonly<Record<string, Readonly<Record<string, string>>>> = {
${blocks.join('\n')}
};
`;
}

/**
 * @param {readonly Table[]} tables
 * @param {string} src
 */
export function parametersPage(tables, src) {
  const sections = tables.map(({ name, file, rows, meanings }) => {
    const title = blockName(name).replace(/^./, (letter) => letter.toUpperCase());
    const path = relative(src, file).replaceAll('\\', '/');
    const lines = Object.entries(rows).map(([parameter, row]) => {
      const cells = [
        `\`${parameter}\``,
        unitOf(parameter),
        `${row.default}`,
        rangeOf(row),
        row.fixed ? 'yes' : '',
        meanings[parameter] ?? '',
      ];
      return `| ${cells.map((cell) => cell.replaceAll('|', '\\|')).join(' | ')} |`;
    });
    return `## ${title}

\`${name}\` in [\`${path}\`](../src/${path})

| name | unit | default | range | fixed | meaning |
| --- | --- | --- | --- | --- | --- |
${lines.join('\n')}
`;
  });
  return `# Parameters

Every parameter of every block, written by \`npm run docs:parameters\` from the parameter tables in \`src/\`.
A **fixed** parameter belongs to the constructor, because it decides latency or memory: \`set\` refuses it.
A default above 0.49 of the sample rate becomes 0.49 of the sample rate.

${sections.join('\n')}`;
}

async function main() {
  const tables = await readTables('src', '.');
  if (tables.length === 0) throw new Error('no parameter table found in src/');
  const outputs = [
    ['src/blocks/parameter-descriptions.ts', descriptionsModule(tables)],
    ['docs/parameters.md', parametersPage(tables, 'src')],
  ];
  for (const [file, text] of outputs) {
    const options = await prettier.resolveConfig(file);
    const wanted = await prettier.format(text, { ...options, filepath: file });
    const present = existsSync(file) ? readFileSync(file, 'utf8') : undefined;
    if (present === wanted) continue;
    if (process.argv.includes('--check')) throw new Error(`${file} is out of date: run \`npm run docs:parameters\``);
    writeFileSync(file, wanted);
    console.log(`wrote ${file}`);
  }
  console.log(`${tables.length} parameter tables`);
}

if (import.meta.url === pathToFileURL(process.argv[1] ?? '').href) {
  main().catch((error) => {
    console.error(error instanceof Error ? error.message : error);
    process.exitCode = 1;
  });
}
