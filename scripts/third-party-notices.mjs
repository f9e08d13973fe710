/**
 * Writes the licence notices of everything that esbuild bundled from `node_modules`.
 *
 * Works as an esbuild plugin: esbuild's own record of the bundled files says what was bundled, so a new dependency
 * cannot be forgotten. A package without a licence text fails the build.
 */
import { mkdirSync, readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { dirname, join } from 'node:path';

const LICENCE_FILE = /^(licen[cs]e|copying)([-_.].*)?$/i;

/** The text below a heading "License" in a readme, for packages that ship no file of their own. */
const README_SECTION = /^#+\s*licen[cs]e\s*$([\s\S]*?)(?=^#|(?![\s\S]))/im;

/**
 * The folder of the package that a bundled file belongs to.
 * @param {string} path - e.g. `node_modules/a/node_modules/@scope/b/lib/index.js`
 * @returns {string | undefined} e.g. `node_modules/a/node_modules/@scope/b`; undefined for a file of our own
 */
export function packageFolder(path) {
  return /^(.*node_modules\/(?:@[^/]+\/)?[^/]+)\//.exec(path.replaceAll('\\', '/'))?.[1];
}

/**
 * One package's notice: name, version, declared licence and the licence text.
 * @param {string} folder
 * @returns {string}
 */
export function packageNotice(folder) {
  const { name, version, license } = JSON.parse(readFileSync(join(folder, 'package.json'), 'utf8'));
  const files = readdirSync(folder);
  const file = files.find((candidate) => LICENCE_FILE.test(candidate));
  const readme = files.find((candidate) => /^readme/i.test(candidate));
  const text =
    file !== undefined
      ? readFileSync(join(folder, file), 'utf8')
      : readme !== undefined
        ? README_SECTION.exec(readFileSync(join(folder, readme), 'utf8'))?.[1]
        : undefined;
  if (text === undefined || text.trim() === '') throw new Error(`third-party notices: no licence text in ${folder}`);
  return `${name} ${version} (${license})\n\n${text.replaceAll('\r\n', '\n').trim()}\n`;
}

/**
 * An esbuild plugin that keeps `file` up to date with all builds it takes part in.
 * @param {string} file
 * @returns {import('esbuild').Plugin}
 */
export function thirdPartyNotices(file) {
  /** @type {Map<string, string>} */
  const notices = new Map();
  return {
    name: 'third-party-notices',
    setup(build) {
      build.initialOptions.metafile = true;
      build.onEnd((result) => {
        for (const path of Object.keys(result.metafile?.inputs ?? {})) {
          const folder = packageFolder(path);
          if (folder !== undefined && !notices.has(folder)) notices.set(folder, packageNotice(folder));
        }
        const rule = `\n${'-'.repeat(80)}\n\n`;
        const intro = 'This package contains code of the following packages, under their own licences.\n';
        mkdirSync(dirname(file), { recursive: true });
        writeFileSync(file, [intro, ...[...notices.values()].sort()].join(rule));
      });
    },
  };
}
