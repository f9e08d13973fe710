/**
 * `npm run api`: compares the public types in `dist/` with the committed reports in `etc/`, so that no change of the
 * public interface goes unnoticed in a review; `npm run api:update` rewrites them. Needs `npm run build` first.
 */
import { existsSync, mkdirSync } from 'node:fs';
import { resolve } from 'node:path';
import { Extractor, ExtractorConfig } from '@microsoft/api-extractor';

/** The root exports everything public but `node` and `worklet`, which have reports of their own. */
const ENTRIES = [
  { types: 'dist/index.d.ts', report: 'batterhead' },
  { types: 'dist/node/index.d.ts', report: 'batterhead-node' },
  { types: 'dist/worklet/index.d.ts', report: 'batterhead-worklet' },
];

const update = process.argv.includes('--update');
mkdirSync('etc', { recursive: true });

let failed = 0;
for (const { types, report } of ENTRIES) {
  if (!existsSync(types)) {
    console.error(`${types} is missing: run \`npm run build\` first`);
    failed++;
    continue;
  }
  const config = ExtractorConfig.prepare({
    configObjectFullPath: undefined,
    packageJsonFullPath: resolve('package.json'),
    configObject: {
      projectFolder: resolve('.'),
      mainEntryPointFilePath: resolve(types),
      compiler: {
        overrideTsconfig: {
          compilerOptions: {
            target: 'ES2022',
            lib: ['ES2023', 'DOM'],
            module: 'ESNext',
            moduleResolution: 'Bundler',
            types: ['node'],
            strict: true,
            skipLibCheck: true,
          },
          files: [resolve(types)],
        },
      },
      apiReport: {
        enabled: true,
        reportFolder: resolve('etc'),
        reportFileName: `${report}.api.md`,
        reportTempFolder: resolve('temp'),
      },
      docModel: { enabled: false },
      dtsRollup: { enabled: false },
      tsdocMetadata: { enabled: false },
      newlineKind: 'lf',
      messages: {
        compilerMessageReporting: { default: { logLevel: /** @type {any} */ ('warning') } },
        extractorMessageReporting: {
          default: { logLevel: /** @type {any} */ ('warning') },
          // Everything exported is public; a tag on each would say nothing.
          'ae-missing-release-tag': { logLevel: /** @type {any} */ ('none') },
          // A method that an interface describes takes its comment from there.
          'ae-undocumented': { logLevel: /** @type {any} */ ('none') },
          // A type that an index forgets shows in the report, where a review sees it.
          'ae-forgotten-export': { logLevel: /** @type {any} */ ('warning'), addToApiReportFile: true },
        },
        // The reports are about types; the text of comments is checked by reading it.
        tsdocMessageReporting: { default: { logLevel: /** @type {any} */ ('none') } },
      },
    },
  });
  const result = Extractor.invoke(config, { localBuild: update, showVerboseMessages: false });
  const changed = result.apiReportChanged;
  console.log(`etc/${report}.api.md: ${changed ? (update ? 'updated' : 'out of date') : 'up to date'}`);
  if (result.errorCount > 0 || (changed && !update)) failed++;
}

if (failed > 0) {
  console.error(
    'The public interface differs from etc/*.api.md; if it should, run `npm run build && npm run api:update`',
  );
  process.exitCode = 1;
}
