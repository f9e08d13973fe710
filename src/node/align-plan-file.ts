/**
 * Aligns a plan file: listens to its inputs, draws each pair of microphones, and writes the moves as a part of a plan.
 *
 *     plan.json, WAV files --> alignment/snare-snareTop-snareBottom.svg ...,  and where it is told to: { "alignment": ... }
 *
 * The plan itself is left as it is.
 *
 * @module
 */
import { dirname, join, resolve } from 'node:path';
import { alignInputs } from '../mix/align-inputs.ts';
import { alignmentReport, type AlignmentReport } from '../mix/alignment-report.ts';
import { commonRateHz } from '../mix/input-rate.ts';
import type { MixPlan } from '../mix/plan.ts';
import { StagedFiles, writeWhole } from './files.ts';
import { requireUnread, mixPlaces } from './mix-places.ts';
import { readPlanFile } from './mix-plan-file.ts';
import { pairPictures } from './pair-pictures.ts';
import { openInputs } from './wav-files.ts';

/** How a plan file is aligned. */
export interface AlignPlanFileOptions {
  /** Folder for the pictures; `alignment` beside the plan unless given. */
  readonly pictures?: string | undefined;
  /** File for the moves as a part of a plan; none unless given. */
  readonly write?: string | undefined;
}

/** What has been found, and written. */
export interface AlignedPlanFile extends AlignmentReport {
  /** Sample rate of the inputs in hertz. */
  readonly sampleRateHz: number;
  /** Of the air, in degrees Celsius. */
  readonly temperatureC: number;
  /** Paths of the drawings, one per pair. */
  readonly pictureFiles: readonly string[];
}

/** Decimals of a delay that is written down: 0.0001 sample is 2 ns. */
const DECIMALS = 10_000;

/**
 * Finds the moves of the plan at `planPath`, as it asks for them.
 *
 * @throws TypeError or RangeError with the path of the fault if the plan does not fit itself or its inputs; Error if a file
 *   cannot be read or written. Nothing has been written then.
 */
export function alignPlanFile(planPath: string, options: AlignPlanFileOptions = {}): AlignedPlanFile {
  const plan = readPlanFile(planPath);
  const places = mixPlaces(planPath, plan, undefined);
  const folder = resolve(options.pictures ?? join(dirname(places.plan), 'alignment'));
  const written = options.write === undefined ? undefined : resolve(options.write);
  if (written !== undefined) requireUnread(places, '--write', written);
  const inputs = openInputs(places.inputs);
  const files = new StagedFiles();
  try {
    const alignment = alignInputs(plan, inputs);
    const sampleRateHz = commonRateHz(plan, inputs);
    const pictureFiles = pairPictures(plan, inputs, alignment, sampleRateHz).map(({ pair, svg }) => {
      const path = join(folder, `${pair.drum}-${pair.reference}-${pair.other}.svg`);
      requireUnread(places, 'a picture', path);
      writeWhole(files.add(path), svg);
      return path;
    });
    if (written !== undefined)
      writeWhole(files.add(written), `${JSON.stringify(fragment(plan, alignment.moves), null, 2)}\n`);
    files.publish();
    const { temperatureC } = plan.alignment;
    return { ...alignmentReport(alignment, sampleRateHz), sampleRateHz, temperatureC, pictureFiles };
  } finally {
    files.discard();
    for (const input of Object.values(inputs)) input.close();
  }
}

/** The plan's alignment with its moves written out: a plan with it needs no analysis. */
function fragment({ alignment }: MixPlan, moves: AlignmentReport['moves']): object {
  const rounded = Object.entries(moves).map(([name, { delaySamples, polarity }]) => [
    name,
    { delaySamples: Math.round(delaySamples * DECIMALS) / DECIMALS, polarity },
  ]);
  return { alignment: { ...alignment, moves: Object.fromEntries(rounded) as object } };
}
