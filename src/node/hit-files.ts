/**
 * Files that a plan's hits need: a hit list, samples for layering.
 * @module
 */
import { readFileSync } from 'node:fs';
import { dirname, resolve } from 'node:path';
import { type HitList, parseHitList } from '../hits/hit-list.ts';
import type { MixPlan } from '../mix/plan.ts';
import type { HitResources } from '../mix/prepare-hits.ts';
import { WavInput } from './wav-files.ts';

/** Longest sample: what is longer is no stroke. */
const MOST_SECONDS = 60;

/** Paths that the plan's hits name, relative to the plan. */
export function hitFilesOf({ hits }: MixPlan): readonly string[] {
  const samples = Object.values(hits?.drums ?? {}).flatMap(({ layer }) => layer?.samples ?? []);
  const list = hits?.file === undefined ? [] : [hits.file];
  return [...new Set([...list, ...samples.flatMap(({ files }) => files)])];
}

/**
 * Reads them.
 *
 * @throws Error, with the file's name, if one cannot be read; RangeError for samples of another rate than the inputs or
 *   more than one channel
 */
export function readHitFiles(planPath: string, plan: MixPlan, sampleRateHz: number): HitResources {
  const home = dirname(resolve(planPath)),
    listFile = plan.hits?.file;
  const samples = hitFilesOf(plan).filter((file) => file !== listFile);
  return {
    list: listFile === undefined ? undefined : readHitListFile(resolve(home, listFile)),
    samples: Object.fromEntries(samples.map((file) => [file, readSample(resolve(home, file), sampleRateHz)])),
  };
}

function readHitListFile(path: string): HitList {
  try {
    return parseHitList(JSON.parse(readFileSync(path, 'utf8')));
  } catch (error) {
    const Kind = error instanceof TypeError ? TypeError : error instanceof RangeError ? RangeError : Error;
    throw new Kind(`${path}: ${(error as Error).message}`, { cause: error });
  }
}

function readSample(path: string, sampleRateHz: number): Float64Array {
  const file = new WavInput(path);
  try {
    if (file.sampleRateHz !== sampleRateHz || file.channels !== 1 || file.frames > MOST_SECONDS * sampleRateHz) {
      throw new RangeError(
        `${path} must have one channel, ${sampleRateHz} Hz and at most ${MOST_SECONDS} s, ` +
          `got ${file.channels}, ${file.sampleRateHz} Hz and ${(file.frames / file.sampleRateHz).toFixed(1)} s`,
      );
    }
    const samples = new Float64Array(file.frames);
    file.read(0, [samples], file.frames);
    return samples;
  } finally {
    file.close();
  }
}
