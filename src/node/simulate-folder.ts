/**
 * Simulates a kit into a folder: a WAV file for each microphone, the truth, and a plan to mix them by.
 *
 *     stems/kickIn.wav ...    truth.json    plan.json
 *
 * @module
 */
import { existsSync } from 'node:fs';
import { join } from 'node:path';
import { simulateKit, type SimulateKitOptions } from '../simulation/simulate-kit.ts';
import { microphoneNames } from '../simulation/names.ts';
import { demoPlan } from './demo-plan.ts';
import { writeWhole } from './files.ts';
import { writeWavFile } from './wav-files.ts';

/** What has been written. */
export interface SimulatedFolder {
  /** Path of the plan. */
  readonly planFile: string;
  /** Paths of the microphones. */
  readonly stemFiles: readonly string[];
  /** Length in seconds. */
  readonly seconds: number;
  /** How many blows there are. */
  readonly hits: number;
  /** False if there was a plan already: it is left as it is. */
  readonly planWritten: boolean;
}

/**
 * Simulates a kit into `folder`.
 *
 * @param onProgress - called with the number of files written and of files in all
 * @throws as `simulateKit`; RangeError if a recording that was not simulated has the name of a stem, and then nothing is
 *   written; Error if a file cannot be written
 */
export function simulateFolder(
  folder: string,
  options: SimulateKitOptions = {},
  onProgress?: (done: number, total: number) => void,
): SimulatedFolder {
  const stemFiles = microphoneNames.map((name) => join(folder, 'stems', `${name}.wav`));
  const truthFile = join(folder, 'truth.json');
  const recorded = existsSync(truthFile) ? undefined : stemFiles.find((file) => existsSync(file));
  if (recorded !== undefined) {
    throw new RangeError(`${recorded} is there already and was not simulated: name another folder`);
  }
  const kit = simulateKit(options);
  const { sampleRateHz, frames, truth } = kit;
  writeWhole(truthFile, `${JSON.stringify({ sampleRateHz, frames, ...truth }, null, 1)}\n`);
  microphoneNames.forEach((name, m) => {
    writeWavFile(stemFiles[m], [kit.microphones[name]], { sampleRateHz: kit.sampleRateHz, seed: m + 1 });
    onProgress?.(m + 1, microphoneNames.length);
  });
  const planFile = join(folder, 'plan.json');
  const planWritten = !existsSync(planFile);
  if (planWritten) writeWhole(planFile, `${JSON.stringify(demoPlan, null, 2)}\n`);
  return { planFile, stemFiles, seconds: frames / sampleRateHz, hits: truth.hits.length, planWritten };
}
