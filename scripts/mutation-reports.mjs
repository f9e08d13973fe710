/** Where the reports of `npm run mutation` are. */

/** Folders of `src/` in which faults are planted, and of `tests/` whose tests look for them. */
export const FOLDERS = ['core', 'filters', 'dynamics', 'saturation', 'reverb'];

/** Stryker's report of a folder. @param {string} folder */
export const reportOf = (folder) => `temp/mutation/${folder}.json`;
