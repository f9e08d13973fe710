/**
 * Compiles `simd/` with AssemblyScript into `src/simd/module-text.ts`, which is committed, so that building the package takes
 * no other compiler; a test holds that it is up to date.
 */
import { readdirSync, writeFileSync } from 'node:fs';
import { resolve } from 'node:path';
import asc from 'assemblyscript/asc';

const ROOT = resolve(import.meta.dirname, '..');
const SOURCES = resolve(ROOT, 'simd');
const PAGES = '1'; // 64 kB; whoever makes an instance grows its memory before any view of it is made

/** The text of the file as the sources in `simd/` make it. */
export async function moduleText() {
  /** @type {Uint8Array | undefined} */
  let bytes;
  const { error, stderr } = await asc.main(
    [
      ...readdirSync(SOURCES)
        .filter((name) => name.endsWith('.ts'))
        .sort(),
      ...['-O3', '--noAssert', '--runtime', 'stub', '--enable', 'simd', '--outFile', 'module.wasm'],
      ...['--initialMemory', PAGES, '--baseDir', SOURCES],
    ],
    {
      writeFile: (_name, contents) => {
        if (contents instanceof Uint8Array) bytes = contents;
      },
    },
  );
  if (error || !bytes) throw new Error(`AssemblyScript: ${stderr.toString()}`, { cause: error });
  return `/**
 * The WebAssembly module in base64, made from \`simd/\` by \`npm run build:simd\`.
 * @module
 */
export const MODULE_TEXT =
  '${Buffer.from(bytes).toString('base64')}';
`;
}

if (process.argv[1] === import.meta.filename) {
  writeFileSync(resolve(ROOT, 'src/simd/module-text.ts'), await moduleText());
}
