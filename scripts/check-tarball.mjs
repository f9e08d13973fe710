/**
 * `npm run package:install`: packs the built library, looks at what is in the package, installs it into an empty project
 * and runs one program there in every way in which it will be used: ES module, CommonJS, TypeScript with two kinds of
 * resolution, three bundlers, a page without one, and the command line. All must print the same numbers. Needs
 * `npm run build` first.
 */
import { execFileSync } from 'node:child_process';
import { existsSync, mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { URL } from 'node:url';
import { build as esbuild } from 'esbuild';
import { build as vite } from 'vite';
import webpack from 'webpack';
import { launchChromium } from './chromium.mjs';

/** What may be in the package besides `dist/`. */
const BESIDES = new Set(['package.json', 'README.md', 'LICENSE', 'CHANGELOG.md']);
/** Most bytes of the packed file: a limit that a stray source map or recording would break. */
const MOST_BYTES = 1_500_000;

const PROGRAM = `
const format = { sampleRateHz: 48000, channels: 1 };
const chain = new Chain(format, [new Compressor(format, { thresholdDb: -20 }), new Equaliser(format, [{ type: 'peaking', gainDb: 6 }])]);
const signal = Float64Array.from({ length: 480 }, (_, n) => (n % 48) / 48 - 0.5);
chain.process([signal], [signal]);
console.log(signal.reduce((sum, v) => sum + v * v, 0).toString(), addProcessors.name, String(WavWriter.name.length > 0));
`;
const IMPORTS = `
import { Chain } from 'batterhead/core';
import { Compressor, Equaliser } from 'batterhead';
import { WavWriter } from 'batterhead/wav';
import { addProcessors } from 'batterhead/worklet';
`;
const REQUIRES = `
const { Chain } = require('batterhead/core');
const { Compressor, Equaliser } = require('batterhead');
const { WavWriter } = require('batterhead/wav');
const { addProcessors } = require('batterhead/worklet');
`;

const project = mkdtempSync(join(tmpdir(), 'batterhead-install-'));
const at = (/** @type {string} */ name) => join(project, name);
const run = (/** @type {string} */ command, /** @type {string[]} */ ...args) =>
  execFileSync(command, args, { cwd: project, encoding: 'utf8', stdio: ['ignore', 'pipe', 'pipe'] });
const node = (/** @type {string} */ file) => run(process.execPath, at(file)).trim();

/** Packs, and refuses what does not belong into the package. @returns {string} path of the packed file */
function pack() {
  const json = execFileSync('npm', ['pack', '--ignore-scripts', '--json', '--pack-destination', project], {
    encoding: 'utf8',
  });
  const [{ filename, size, files }] = JSON.parse(json);
  const strays = files
    .map((/** @type {{ path: string }} */ { path }) => path)
    .filter((/** @type {string} */ path) => !BESIDES.has(path) && !/^dist\/.*\.(js|cjs|d\.ts|d\.cts|txt)$/.test(path));
  if (strays.length > 0) throw new Error(`the package holds what does not belong there: ${strays.join(', ')}`);
  if (size > MOST_BYTES) throw new Error(`the package has ${size} bytes; at most ${MOST_BYTES} are allowed`);
  console.log(`${filename}: ${files.length} files, ${size} bytes`);
  return at(filename);
}

/** TypeScript, strict, under one kind of resolution; then what it wrote is run. @param {'node16' | 'bundler'} kind */
function typescript(kind) {
  const module = kind === 'node16' ? 'node16' : 'esnext';
  const out = `typescript-${kind}`;
  writeFileSync(at(`${out}.mts`), IMPORTS + PROGRAM);
  const tsc = createRequire(import.meta.url).resolve('typescript/bin/tsc');
  const settings = ['--strict', '--target', 'es2022', '--lib', 'es2023,dom', '--skipLibCheck', 'false'];
  run(
    process.execPath,
    tsc,
    ...settings,
    '--module',
    module,
    '--moduleResolution',
    kind,
    '--outDir',
    at(out),
    at(`${out}.mts`),
  );
  return node(`${out}/${out}.mjs`);
}

/** A page that finds every entry of the installed package by an import map, in Chromium. @returns {Promise<string>} */
async function page() {
  const { exports } = JSON.parse(readFileSync(at('node_modules/batterhead/package.json'), 'utf8'));
  const imports = Object.fromEntries(
    Object.entries(exports)
      .filter(([, entry]) => entry.import)
      .map(([name, entry]) => [join('batterhead', name), `/${join('node_modules/batterhead', entry.import.default)}`]),
  );
  const html = `<!doctype html><link rel="icon" href="data:,"><script type="importmap">${JSON.stringify({ imports })}</script><script type="module">${IMPORTS + PROGRAM}</script>`;
  writeFileSync(at('index.html'), html);
  const browser = await launchChromium();
  try {
    const tab = await browser.newPage();
    const failed = new Promise((_, reject) => {
      tab.on('pageerror', reject);
      tab.route('**/*', (route) => {
        const { pathname } = new URL(route.request().url());
        if (existsSync(at(pathname))) return route.fulfill({ path: at(pathname) });
        reject(new Error(`the plain page asks for ${pathname}, which the package does not have`));
        return route.abort();
      });
    });
    const printed = tab.waitForEvent('console', { timeout: 30_000 });
    const [message] = await Promise.all([Promise.race([printed, failed]), tab.goto('http://localhost/index.html')]);
    return message.text();
  } finally {
    await browser.close();
  }
}

/** @type {Record<string, () => string | Promise<string>>} */
const ways = {
  'ES module': () => {
    writeFileSync(at('module.mjs'), IMPORTS + PROGRAM);
    return node('module.mjs');
  },
  CommonJS: () => {
    writeFileSync(at('common.cjs'), REQUIRES + PROGRAM);
    return node('common.cjs');
  },
  'TypeScript, node16': () => typescript('node16'),
  'TypeScript, bundler': () => typescript('bundler'),
  esbuild: async () => {
    await esbuild({
      entryPoints: [at('module.mjs')],
      bundle: true,
      format: 'esm',
      outfile: at('esbuild.mjs'),
      keepNames: true,
    });
    return node('esbuild.mjs');
  },
  Vite: async () => {
    await vite({
      root: project,
      configFile: false,
      logLevel: 'error',
      build: {
        outDir: at('vite'),
        minify: false,
        lib: { entry: at('module.mjs'), formats: ['es'], fileName: () => 'index.mjs' },
      },
    });
    return node('vite/index.mjs');
  },
  webpack: async () => {
    await new Promise((resolve, reject) => {
      webpack(
        {
          mode: 'production',
          context: project,
          entry: at('module.mjs'),
          target: 'node',
          output: { path: at('webpack'), filename: 'index.cjs' },
          optimization: { minimize: false },
        },
        (error, stats) => {
          const faults = error ?? (stats?.hasErrors() ? new Error(stats.toString('errors-only')) : undefined);
          if (faults) reject(faults);
          else resolve(undefined);
        },
      );
    });
    return node('webpack/index.cjs');
  },
  'plain page': page,
};

try {
  if (!existsSync('dist/index.js')) throw new Error('dist/ is missing: run `npm run build` first');
  const tarball = pack();
  writeFileSync(at('package.json'), '{ "private": true }\n');
  run('npm', 'install', '--offline', '--no-audit', '--no-fund', tarball);
  const installed = readdirSync(at('node_modules')).filter((name) => !name.startsWith('.'));
  if (installed.join() !== 'batterhead')
    throw new Error(`more than the package was installed: ${installed.join(', ')}`);
  const printed = new Map();
  for (const [name, way] of Object.entries(ways)) {
    printed.set(name, await way());
    console.log(`${name}: ${printed.get(name)}`);
  }
  if (new Set(printed.values()).size !== 1) throw new Error('not all ways give the same numbers');
  mkdirSync(at('mix'));
  console.log(`command line: ${run(at('node_modules/.bin/batterhead'), '--version').trim()}`);
  run(at('node_modules/.bin/batterhead'), 'simulate', at('mix'), '--bars', '1');
  console.log(run(at('node_modules/.bin/batterhead'), 'mix', at('mix/plan.json')).trim().split('\n')[0]);
} catch (error) {
  console.error(error instanceof Error ? error.message : error);
  if (error !== null && typeof error === 'object' && 'stdout' in error) console.error(String(error.stdout));
  process.exitCode = 1;
} finally {
  rmSync(project, { recursive: true, force: true });
}
