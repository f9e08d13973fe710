import { readdirSync } from 'node:fs';
import { mathRules } from './scripts/typedoc-math.mjs';

/** Every folder of `src/` is an entry of the package, and so a module of the documentation. */
const modules = readdirSync('src', { withFileTypes: true })
  .filter((item) => item.isDirectory())
  .map(({ name }) => `src/${name}/index.ts`);

/** @type {Partial<import('typedoc').TypeDocOptions>} */
export default {
  name: 'batterhead',
  entryPoints: [...modules, 'src/worklet/url.ts'],
  tsconfig: 'tsconfig.docs.json',
  out: 'site',
  plugin: ['typedoc-plugin-mdn-links', './scripts/typedoc-blocks.mjs'],
  readme: 'README.md',
  customCss: 'scripts/typedoc.css',
  projectDocuments: ['docs/*.md', 'docs/proofs/*.md'],
  markdownItLoader: mathRules,
  excludePrivate: true,
  excludeProtected: true,
  excludeInternal: true,
  disableSources: true,
  includeHierarchySummary: false, // its links to types that a program makes lead nowhere
  requiredToBeDocumented: [
    'Enum',
    'EnumMember',
    'Variable',
    'Function',
    'Class',
    'Interface',
    'Property',
    'Method',
    'Accessor',
    'TypeAlias',
  ],
  validation: {
    notExported: true,
    invalidLink: true,
    invalidPath: true,
    rewrittenLink: true,
    notDocumented: true,
    unusedMergeModuleWith: true,
  },
  treatWarningsAsErrors: true,
  treatValidationWarningsAsErrors: true,
};
