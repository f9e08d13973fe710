/**
 * `import text from './script.ts?bundle-text'`: the script, bundled into one minified classic script, as a string.
 * The same import for both builders: esbuild makes the package, Vite runs the tests.
 */
import { dirname, relative, resolve } from 'node:path';
import { build } from 'esbuild';

const SUFFIX = '?bundle-text';

/** @param {string} entry */
async function bundleToText(entry) {
  const { outputFiles } = await build({
    entryPoints: [entry],
    bundle: true,
    write: false,
    minify: true,
    format: 'iife',
    platform: 'browser',
    target: 'es2022',
    legalComments: 'none', // third-party notices lie beside the package's scripts
  });
  return outputFiles[0].text;
}

/** @returns {import('esbuild').Plugin} */
export function bundleTextPlugin() {
  return {
    name: 'bundle-text',
    setup(builder) {
      builder.onResolve({ filter: /\?bundle-text$/ }, ({ resolveDir, path }) => ({
        path: relative('.', resolve(resolveDir, path.slice(0, -SUFFIX.length))), // stands in a comment of the bundle
        namespace: 'bundle-text',
      }));
      builder.onLoad({ filter: /.*/, namespace: 'bundle-text' }, async ({ path }) => ({
        contents: await bundleToText(path),
        loader: 'text',
      }));
    },
  };
}

const VIRTUAL = '\0bundle-text:';

/** @returns {import('vite').Plugin} */
export function bundleTextVite() {
  return {
    name: 'bundle-text',
    enforce: 'pre',
    resolveId(id, importer) {
      if (!id.endsWith(SUFFIX) || importer === undefined) return null;
      return VIRTUAL + resolve(dirname(importer), id.slice(0, -SUFFIX.length));
    },
    async load(id) {
      if (!id.startsWith(VIRTUAL)) return null;
      return `export default ${JSON.stringify(await bundleToText(id.slice(VIRTUAL.length)))};`;
    },
  };
}
