/**
 * Serves the page under test on localhost, which browsers take for a secure context.
 */
import { createServer, type Server } from 'node:http';
import type { AddressInfo } from 'node:net';
import { build } from 'esbuild';
import { bundleTextPlugin } from '../../scripts/bundle-text.mjs';

/** A running server. */
export interface Served {
  readonly url: string;
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

/** Bundles the page and its worker, and serves them; `isolated` pages may share memory with their audio thread. */
export async function servePage(isolated = false): Promise<Served> {
  const script = 'text/javascript; charset=utf-8';
  const files: Readonly<Record<string, readonly [type: string, text: string]>> = {
    '/': ['text/html; charset=utf-8', HTML],
    '/page.js': [script, await bundle('tests/browsers/page.ts')],
    '/worker.js': [script, await bundle('tests/browsers/worker.ts')],
  };
  const isolation = { 'Cross-Origin-Opener-Policy': 'same-origin', 'Cross-Origin-Embedder-Policy': 'require-corp' };
  const server: Server = createServer(({ url }, response) => {
    const file = files[url ?? '/'];
    if (!(file as unknown)) {
      response.writeHead(404).end();
      return;
    }
    response.writeHead(200, { 'Content-Type': file[0], ...(isolated && isolation) }).end(file[1]);
  });
  await new Promise<void>((resolve) => server.listen(0, '127.0.0.1', resolve));
  const { port } = server.address() as AddressInfo;
  return { url: `http://127.0.0.1:${port}/`, close: () => server.close() };
}
