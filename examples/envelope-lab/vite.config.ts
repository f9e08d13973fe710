/**
 * Builds the page into `dist/`: relative addresses, so that it works in any folder of any static host. The equations are
 * turned into MathML here: the page brings no script and no font for them.
 */
import { fileURLToPath } from 'node:url';
import temml from 'temml';
import { defineConfig, type Plugin } from 'vite';
import { equations } from './equations.ts';

const EQUATIONS = 'virtual:equations';

/** `import equations from 'virtual:equations'`: for each block a list of words and MathML. */
function equationsAsMathml(): Plugin {
  return {
    name: 'equations',
    resolveId: (id) => (id === EQUATIONS ? `\0${EQUATIONS}` : undefined),
    load(id) {
      if (id !== `\0${EQUATIONS}`) return undefined;
      const drawn = Object.entries(equations).map(([block, list]) => [
        block,
        list.map(([words, tex]) => [words, temml.renderToString(tex, { displayMode: true, throwOnError: true })]),
      ]);
      return `export default ${JSON.stringify(Object.fromEntries(drawn))};`;
    },
  };
}

export default defineConfig({
  root: fileURLToPath(new URL('.', import.meta.url)),
  base: './',
  plugins: [equationsAsMathml()],
  build: { target: 'es2022', emptyOutDir: true },
});
