/**
 * Writes a plan for a folder of microphones: what each is there for, and settings to start from.
 *
 *     FOLDER/*.wav --> suggestion --> FOLDER/plan.json
 *
 * A file that is there already is never overwritten.
 *
 * @module
 */
import { existsSync, readdirSync } from 'node:fs';
import { dirname, join, relative, resolve } from 'node:path';
import { parsePlan } from '../mix/parse-plan.ts';
import { type SuggestedPlan, suggestPlan } from '../suggestion/suggest-plan.ts';
import { reading, writeNew } from './files.ts';
import { UNPROCESSED_FILE } from './mix-places.ts';
import { openInputs } from './wav-files.ts';

/** How a folder is planned. */
export interface PlanFolderOptions {
  /** Where to write the plan; `plan.json` in the folder unless given. */
  readonly output?: string | undefined;
}

/** What was written, and why. */
export interface PlannedFolder extends SuggestedPlan {
  /** Path of the plan. */
  readonly planFile: string;
}

const PLAN_FILE = 'plan.json';
/** What an earlier mix left beside its plan is no microphone; nor is a hidden file, such as some systems put beside each. */
const MADE = ['mix.wav', UNPROCESSED_FILE];
const isStem = (name: string) => /^[^.].*\.wave?$/i.test(name) && !MADE.includes(name);

/**
 * Plans the WAV files of `folder`, but hidden ones and those in folders inside it.
 *
 * @throws RangeError if the plan is there already, or the folder has no WAV files, or they do not fit together; Error if a
 *   file cannot be read or written. Nothing is written then.
 */
export function planFolder(folder: string, { output }: PlanFolderOptions = {}): PlannedFolder {
  const planFile = output ?? join(folder, PLAN_FILE);
  if (existsSync(planFile))
    throw new RangeError(`${planFile} is there already: move it, or name another with --output`);
  const names = reading(folder, () => readdirSync(folder, { withFileTypes: true }))
    .filter((item) => !item.isDirectory() && isStem(item.name))
    .map(({ name }) => name)
    .sort((a, b) => a.localeCompare(b, 'en', { numeric: true }));
  if (names.length === 0) throw new RangeError(`${folder} must hold WAV files, one for each microphone`);
  const home = dirname(resolve(planFile));
  const inputs = openInputs(Object.fromEntries(names.map((name) => [name, join(folder, name)])));
  try {
    const files = names.map((name) => ({
      file: relative(home, resolve(folder, name)).replaceAll('\\', '/'),
      input: inputs[name],
    }));
    const suggested = suggestPlan(files);
    parsePlan(suggested.plan); // what is written can be mixed
    writeNew(planFile, `${JSON.stringify(suggested.plan, null, 2)}\n`);
    return { planFile, ...suggested };
  } finally {
    for (const input of Object.values(inputs)) input.close();
  }
}
