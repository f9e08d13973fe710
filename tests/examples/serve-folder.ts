/** Serves a folder on localhost, as a static host would. */
import { readFile } from 'node:fs/promises';
import { createServer } from 'node:http';
import type { AddressInfo } from 'node:net';
import { extname, join, normalize, sep } from 'node:path';

const TYPES: Readonly<Record<string, string>> = {
  '.html': 'text/html; charset=utf-8',
  '.js': 'text/javascript; charset=utf-8',
  '.css': 'text/css; charset=utf-8',
  '.json': 'application/json',
};

/** A folder that is served. */
export interface ServedFolder {
  /** Ends with a slash. */
  readonly url: string;
  readonly port: number;
  close(): void;
}

/** @param headers - sent with every file */
export async function serveFolder(
  folder: string,
  headers: Readonly<Record<string, string>> = {},
): Promise<ServedFolder> {
  const server = createServer((request, response) => {
    const { pathname } = new URL(request.url ?? '/', 'http://localhost');
    const path = normalize(join(folder, pathname.endsWith('/') ? `${pathname}index.html` : pathname));
    const inside = path.startsWith(normalize(folder) + sep) ? readFile(path) : Promise.reject(new Error('outside'));
    inside.then(
      (bytes) => {
        const type = TYPES[extname(path)] ?? 'application/octet-stream';
        response.writeHead(200, { 'Content-Type': type, ...headers }).end(bytes);
      },
      () => response.writeHead(404).end(),
    );
  });
  await new Promise<void>((resolve) => server.listen(0, resolve));
  const { port } = server.address() as AddressInfo;
  return { url: `http://127.0.0.1:${port}/`, port, close: () => server.close() };
}
