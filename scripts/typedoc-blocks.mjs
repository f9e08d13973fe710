/**
 * A plugin of the documentation: the page of a block is the header of its source (what it does, its equation, where that
 * is published), its picture, and its generated table of parameters. None of them is written a second time.
 *
 *     src/dynamics/compressor.ts  --- header ------------+
 *     docs/plots/compressor.svg   --- picture -----------+--> classes/dynamics.Compressor.html
 *     docs/parameters.md          --- section -----------+
 *
 * A parameter table as a constant is shown by its names: the literal types of its rows, forty lines of them, tell less.
 */
import { existsSync, readFileSync } from 'node:fs';
import { Comment, Converter, IntrinsicType, ReflectionKind } from 'typedoc';

const ROW = new Set(['default', 'min', 'max', 'taper', 'integer', 'fixed', 'choices']);

/** @param {string} name */
const lowerFirst = (name) => name[0].toLowerCase() + name.slice(1);

/** The header of a source file as Markdown: its drawings and equations are indented, and stay as they are. @param {string} file */
function headerOf(file) {
  const [, header = ''] = /^\/\*\*\n([\s\S]*?)\n \*\/$/m.exec(readFileSync(file, 'utf8')) ?? [];
  const lines = header.split('\n').map((line) => line.replace(/^ \* ?/, ''));
  // Four blanks are code for Markdown, but only after a blank line; and braces of a link belong to TypeDoc alone.
  return lines
    .filter((line) => !line.startsWith('@module'))
    .join('\n')
    .trim();
}

/** The table of a block in the list of parameters. @param {string} name */
function tableOf(name) {
  const [, section = ''] =
    new RegExp(`^## ${name}\\n([\\s\\S]*?)(?=^## |$(?![\\s\\S]))`, 'm').exec(
      readFileSync('docs/parameters.md', 'utf8'),
    ) ?? [];
  return section
    .split('\n')
    .filter((line) => line.startsWith('|'))
    .join('\n');
}

/** @param {import('typedoc').Application} app */
export function load(app) {
  app.converter.on(Converter.EVENT_RESOLVE_BEGIN, (context) => {
    const { project } = context;
    for (const block of project.getReflectionsByKind(ReflectionKind.Class)) {
      const file = context.getSymbolFromReflection(block)?.declarations?.[0]?.getSourceFile().fileName;
      const table = tableOf(block.name);
      if (file === undefined || table === '') continue;
      const picture = `docs/plots/${lowerFirst(block.name)}.svg`;
      const parts = [
        headerOf(file),
        existsSync(picture) ? readFileSync(picture, 'utf8').trim().replaceAll(/\n\s*/g, ' ') : '',
        table,
      ].filter((part) => part !== '');
      block.comment ??= new Comment();
      block.comment.summary.push({ kind: 'text', text: `\n\n${parts.join('\n\n')}\n` });
    }
    for (const row of project.getReflectionsByKind(ReflectionKind.Property)) {
      const { type } = /** @type {import('typedoc').DeclarationReflection} */ (row);
      if (type?.type !== 'reflection') continue;
      const members = type.declaration.children ?? [];
      if (members.length === 0 || !members.every(({ name }) => ROW.has(name))) continue;
      project.removeReflection(type.declaration);
      /** @type {import('typedoc').DeclarationReflection} */ (row).type = new IntrinsicType('row');
    }
  });
}
