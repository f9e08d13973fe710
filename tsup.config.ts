/**
 * Builds the JavaScript of `dist/`: the library (ESM and CommonJS, one entry per folder, common chunks, so that a class has one
 * identity however it was imported) and the command line (one CommonJS file that needs nothing installed)
 * with the script of its threads.
 */
import { existsSync, readdirSync } from 'node:fs';
import { defineConfig, type Options } from 'tsup';
import { bundleTextPlugin } from './scripts/bundle-text.mjs';
import { thirdPartyNotices } from './scripts/third-party-notices.mjs';

/** `src/index.ts` and every `src/<folder>/index.ts`. */
function libraryEntries(): Record<string, string> {
  const folders = readdirSync('src', { withFileTypes: true }).filter((item) => item.isDirectory());
  const names = ['index', ...folders.map((folder) => `${folder.name}/index`)];
  return Object.fromEntries(
    names.filter((name) => existsSync(`src/${name}.ts`)).map((name) => [name, `src/${name}.ts`]),
  );
}

/** A CommonJS file knows itself by its name (`src/node/worker-file.ts`); there `import.meta` would be a fault of syntax. */
const namedFile: Options['esbuildOptions'] = (options, { format }) => {
  if (format === 'cjs') options.define = { ...options.define, 'import.meta.url': 'undefined' };
};

const notices = thirdPartyNotices('dist/THIRD-PARTY-NOTICES.txt');

const library: Options = {
  name: 'library',
  entry: libraryEntries(),
  format: ['esm', 'cjs'],
  target: 'es2022',
  platform: 'neutral',
  external: [/^node:/],
  removeNodeProtocol: false,
  noExternal: ['fft.js', 'midi-file'], // nobody who installs the package installs another
  splitting: true,
  treeshake: false,
  dts: false, // scripts/build-types.mjs
  esbuildPlugins: [notices, bundleTextPlugin()],
  esbuildOptions: namedFile,
};

/** The address of that script; it must stay beside it, so it shares no chunk. */
const workletUrl: Options = {
  name: 'worklet address',
  entry: { 'worklet/url': 'src/worklet/url.ts' },
  format: ['esm', 'cjs'],
  target: 'es2022',
  platform: 'neutral',
  shims: true, // import.meta.url in CommonJS
  splitting: false,
  dts: false,
};

/** The script that an audio context loads: one classic script. */
const worklet: Options = {
  name: 'worklet',
  entry: { 'worklet/processors': 'src/worklet/processors.ts' },
  format: ['iife'],
  target: 'es2022',
  platform: 'browser',
  minify: true,
  splitting: false,
  dts: false,
  outExtension: () => ({ js: '.js' }),
  esbuildPlugins: [notices],
};

const programs: Options = {
  name: 'command line and its threads',
  entry: { cli: 'src/node/cli.ts', 'mix-worker': 'src/node/mix-worker.ts' },
  format: ['cjs'], // an ESM bundle of the argument parser fails at run time: "Dynamic require is not supported"
  target: 'node20',
  platform: 'node',
  noExternal: [/.*/],
  splitting: false,
  dts: false,
  banner: { js: '#!/usr/bin/env node' },
  esbuildPlugins: [notices],
  esbuildOptions: namedFile,
};

export default defineConfig([library, worklet, workletUrl, programs]);
