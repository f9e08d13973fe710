/**
 * From a folder of stems to a first mix: a plan, unless there is one already, and the mix by it.
 *
 *     node examples/engineer/first-mix.mjs [folder]
 */
import { existsSync, mkdirSync } from 'node:fs';
import { join } from 'node:path';
import { mixPlanFile, mixSummary, planFolder, planSummary, writeWavFile } from 'batterhead/node';
import { simulateKit } from 'batterhead/simulation';

const folder = process.argv[2] ?? simulated('out/engineer');
const plan = join(folder, 'plan.json');

if (existsSync(plan)) console.log(`${plan} is there: mixing by it.\n`);
else console.log(`${planSummary(planFolder(folder))}\n`);
console.log(mixSummary(await mixPlanFile(plan)));

/** A kit under names that mean nothing. @param {string} into */
function simulated(into) {
  if (existsSync(into)) return into;
  const { microphones, sampleRateHz } = simulateKit();
  mkdirSync(into, { recursive: true });
  Object.values(microphones).forEach((samples, i) => {
    writeWavFile(join(into, `audio ${i + 1}.wav`), [samples], { sampleRateHz });
  });
  return into;
}
