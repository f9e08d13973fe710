/**
 * Serves the page under test on localhost, which browsers take for a secure context.
 */
import { createServer, type Server } from 'node:http';
import type { AddressInfo } from 'node:net';
import { build } from 'esbuild';
import { INSECURE_HOST } from '../../scripts/chromium.mjs';
import { bundleTextPlugin } from '../../scripts/bundle-text.mjs';

/** A running server. */
export interface Served {
  /** A secure context, as localhost is. */
  readonly url: string;
  /** The same page where it is none. */
  readonly insecureUrl: string;
  close(): void;
}

async function bundle(entry: string): Promise<string> {
  const { outputFiles } = await build({
    entryPoints: [entry],
    bundle: true,
    write: false,
    format: 'iife',
    platform: 'browser',
    target: 'es2022',
    plugins: [bundleTextPlugin()],
    logLevel: 'error',
  });
  return outputFiles[0].text;
}

const HTML = '<!doctype html><meta charset="utf-8"><title>Blocks under test</title><script src="/page.js"></script>';

/** Headers of pages that may share memory with their audio thread. */
export const ISOLATED = { 'Cross-Origin-Opener-Policy': 'same-origin', 'Cross-Origin-Embedder-Policy': 'require-corp' };

/** Bundles the page of all engines with its worker and the script of the processors, and serves them. */
export async function servePage(headers: Readonly<Record<string, string>> = {}): Promise<Served> {
  const scripts = { page: 'tests/browsers/page.ts', worker: 'tests/browsers/worker.ts', processors: PROCESSORS };
  return serve(scripts, headers);
}

/** Bundles a script, and serves a page that runs it. */
export async function serveScript(entry: string): Promise<Served> {
  return serve({ page: entry }, {});
}

const PROCESSORS = 'src/worklet/processors.ts';

async function serve(
  scripts: Readonly<Record<string, string>>,
  headers: Readonly<Record<string, string>>,
): Promise<Served> {
  const files = new Map([['/', { type: 'text/html; charset=utf-8', text: HTML }]]);
  for (const [name, entry] of Object.entries(scripts)) {
    files.set(`/${name}.js`, { type: 'text/javascript; charset=utf-8', text: await bundle(entry) });
  }
  const server: Server = createServer(({ url }, response) => {
    const file = files.get(url ?? '/');
    if (file) response.writeHead(200, { 'Content-Type': file.type, ...headers }).end(file.text);
    else response.writeHead(404).end();
  });
  await new Promise<void>((resolve) => server.listen(0, '127.0.0.1', resolve));
  const { port } = server.address() as AddressInfo;
  return {
    url: `http://127.0.0.1:${port}/`,
    insecureUrl: `http://${INSECURE_HOST}:${port}/`,
    close: () => server.close(),
  };
}
