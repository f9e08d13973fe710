/** Builds the page into `dist/`: relative addresses, so that it works in any folder of any static host. */
import { fileURLToPath } from 'node:url';
import { defineConfig } from 'vite';

export default defineConfig({
  root: fileURLToPath(new URL('.', import.meta.url)),
  base: './',
  worker: { format: 'es' },
  build: { target: 'es2022', emptyOutDir: true },
});
