/**
 * `npm run mutation`: plants faults in one folder after the other and keeps Stryker's report of each, of which
 * `npm run mutation:page` makes a page. `npm run mutation -- reverb` for some folders, `-- src/core/glide.ts` for some files,
 * whose faults are only printed. What has not changed since the last run is not tried again.
 */
import { Stryker } from '@stryker-mutator/core';
import { FOLDERS, reportOf } from './mutation-reports.mjs';

const args = process.argv.slice(2);
const files = args.filter((name) => name.endsWith('.ts'));
const folders = args.filter((name) => !name.endsWith('.ts'));
const stranger = folders.find((name) => !FOLDERS.includes(name));
if (stranger !== undefined) throw new Error(`no folder ${stranger}: name some of ${FOLDERS.join(', ')}, or files`);

if (files.length > 0) await new Stryker({ mutate: files, incremental: false }).runMutationTest();
for (const folder of args.length > 0 ? folders : FOLDERS) {
  await new Stryker({
    mutate: [`src/${folder}/**/*.ts`, '!src/**/index.ts', '!src/**/*.d.ts'],
    jsonReporter: { fileName: reportOf(folder) },
    incrementalFile: reportOf(folder).replace('.json', '.incremental.json'),
  }).runMutationTest();
}
