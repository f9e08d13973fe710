/**
 * Builds `dist/`: the library (ESM and CommonJS, one entry per folder, common chunks, so that a class has one
 * identity however it was imported) and the command line (one CommonJS file that needs nothing installed).
 */
import { existsSync, readdirSync, rmSync } from 'node:fs';
import { defineConfig, type Options } from 'tsup';
import { thirdPartyNotices } from './scripts/third-party-notices.mjs';

/** `src/index.ts` and every `src/<folder>/index.ts`. */
function libraryEntries(): Record<string, string> {
  const folders = readdirSync('src', { withFileTypes: true }).filter((item) => item.isDirectory());
  const names = ['index', ...folders.map((folder) => `${folder.name}/index`)];
  return Object.fromEntries(
    names.filter((name) => existsSync(`src/${name}.ts`)).map((name) => [name, `src/${name}.ts`]),
  );
}

const notices = thirdPartyNotices('dist/THIRD-PARTY-NOTICES.txt');

const library: Options = {
  name: 'library',
  entry: libraryEntries(),
  format: ['esm', 'cjs'],
  target: 'es2022',
  platform: 'neutral',
  external: [/^node:/],
  removeNodeProtocol: false,
  noExternal: ['fft.js'], // a page without a bundler could not resolve it
  splitting: true,
  treeshake: false,
  // tsup hands the compiler a `baseUrl`, which TypeScript 6 calls deprecated. Node's types serve `node/` alone:
  // `npm run typecheck` compiles the rest without them.
  dts: { compilerOptions: { ignoreDeprecations: '6.0', types: ['node'] } },
  esbuildPlugins: [notices],
};

const commandLine: Options = {
  name: 'command line',
  entry: { cli: 'src/node/cli.ts' },
  format: ['cjs'], // an ESM bundle of the argument parser fails at run time: "Dynamic require is not supported"
  target: 'node20',
  platform: 'node',
  noExternal: [/.*/],
  splitting: false,
  dts: false,
  banner: { js: '#!/usr/bin/env node' },
  esbuildPlugins: [notices],
};

export default defineConfig(({ dts }) => {
  // `tsup --no-dts`, a tenth of the time, keeps the types that are there. Both builds below write to dist/ at the same
  // time, so neither of them may be the one that cleans.
  if (dts !== false) rmSync('dist', { recursive: true, force: true });
  return [library, commandLine];
});
