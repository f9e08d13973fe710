/** The part of the library for Node, and its programs, bundled as the package has them: threads need scripts of their own. */
import { join, resolve } from 'node:path';
import { buildSync } from 'esbuild';

/** Writes `index.cjs`, `cli.cjs` and `mix-worker.cjs` into `folder`; returns the paths of the first two. */
export function bundleNode(folder: string): { readonly library: string; readonly program: string } {
  const source = (name: string) => resolve(import.meta.dirname, '../../src/node', `${name}.ts`);
  buildSync({
    entryPoints: Object.fromEntries(['index', 'cli', 'mix-worker'].map((name) => [name, source(name)])),
    outdir: folder,
    outExtension: { '.js': '.cjs' },
    bundle: true,
    platform: 'node',
    format: 'cjs',
    logLevel: 'error',
  });
  return { library: join(folder, 'index.cjs'), program: join(folder, 'cli.cjs') };
}
