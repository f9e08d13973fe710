/** The rules of our own in `eslint.config.js`: that they are on where they should be, by planting what they forbid. */
import { resolve } from 'node:path';
import { ESLint } from 'eslint';
import { describe, expect, it } from 'vitest';

const eslint = new ESLint({
  cwd: resolve(import.meta.dirname, '../..'),
  // The rules below need no types, and planted text has no place in a TypeScript program.
  overrideConfig: {
    languageOptions: { parserOptions: { project: null } },
    rules: Object.fromEntries(
      ['consistent-type-imports', 'no-unused-vars'].map((rule) => [`@typescript-eslint/${rule}`, 'off']),
    ),
  },
  ruleFilter: ({ ruleId }) =>
    /^no-(console|restricted-)/.test(ruleId) || ruleId === '@typescript-eslint/explicit-module-boundary-types',
});

/** The rules that `text` breaks when it stands in `src/` at the given path. */
async function broken(path: string, text: string): Promise<(string | null)[]> {
  const [result] = await eslint.lintText(text, { filePath: `src/${path}` });
  return [...new Set(result.messages.map((message) => message.ruleId ?? message.message))];
}

const INEXACT =
  'acos acosh asin asinh atan atan2 atanh cbrt cos cosh exp expm1 hypot log log10 log1p log2 pow sin sinh tan tanh';

/** The functions of `Math` whose result the language specifies to the last bit, and those it leaves to the engine. */
const EXACT = 'abs ceil clz32 floor fround imul max min round sign sqrt trunc';

describe('the rule against engine-dependent arithmetic', () => {
  it('covers every function of Math, forbidding those that the language leaves to the engine', async () => {
    const functions = Object.getOwnPropertyNames(Math).filter(
      (name) => typeof (Math as unknown as Record<string, unknown>)[name] === 'function',
    );
    const known = ['random', ...INEXACT.split(' '), ...EXACT.split(' ')];
    expect(functions.filter((name) => !known.includes(name) && name !== 'f16round' && name !== 'sumPrecise')).toEqual(
      [],
    );
    for (const name of functions) {
      const forbidden = name === 'random' || INEXACT.split(' ').includes(name) ? ['no-restricted-properties'] : [];
      expect({
        name,
        rules: await broken('dynamics/gate.ts', `export const x: number = Math.${name}(1, 1);\n`),
      }).toEqual({
        name,
        rules: forbidden,
      });
    }
  });

  it.each([
    ['const { exp } = Math;\nexport const x: number = exp(1);', ['no-restricted-properties', 'no-restricted-syntax']],
    ['const m = Math;\nexport const x: number = m.exp(1);', ['no-restricted-syntax']],
    ["export const x: number = Math['exp'](1);", ['no-restricted-properties', 'no-restricted-syntax']],
    ['export const x = (y: number): number => y ** 2;', ['no-restricted-syntax']],
    ['export function x(y: number): number {\n  y **= 2;\n  return y;\n}', ['no-restricted-syntax']],
  ])('cannot be evaded by %s', async (text, rules) => {
    expect((await broken('dynamics/gate.ts', text)).sort()).toEqual(rules);
    expect(await broken('core/maths.ts', text)).toEqual([]);
  });
});

describe('the rules of pages', () => {
  it.each([
    ['export default class Gate {}', ['no-restricted-syntax']],
    ["export * from './gate.ts';", ['no-restricted-syntax']],
    ['console.log(1);', ['no-console']],
    ['export function x(y: number) {\n  return y;\n}', ['@typescript-eslint/explicit-module-boundary-types']],
    ['export class X {\n  y() {\n    return 1;\n  }\n}', ['@typescript-eslint/explicit-module-boundary-types']],
  ])('forbid %s', async (text, rules) => {
    expect(await broken('dynamics/gate.ts', text)).toEqual(rules);
  });

  it('let src/node print', async () => {
    expect(await broken('node/cli.ts', 'console.log(1);')).toEqual([]);
  });
});
