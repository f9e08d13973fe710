/**
 * Places of a mix: which files it reads and which it writes, and that it writes over nothing it reads.
 *
 *     folder of the plan:  plan.json, inputs            where it is told to write, or there, too:  mix, unprocessed, reports
 *
 * @module
 */
import { realpathSync, statSync } from 'node:fs';
import { basename, dirname, join, resolve } from 'node:path';
import type { MixPlan } from '../mix/plan.ts';
import { hitFilesOf } from './hit-files.ts';

/** Absolute paths of all files of a mix. */
export interface MixPlaces {
  readonly plan: string;
  /** By the names of the inputs. */
  readonly inputs: Readonly<Record<string, string>>;
  /** In the order of the plan. */
  readonly references: readonly string[];
  /** By the names of the stems. */
  readonly context: Readonly<Record<string, string>>;
  readonly mix: string;
  readonly unprocessed: string;
  /** The report as data, as a page and as a table. */
  readonly report: string;
  readonly reportPage: string;
  readonly reportTable: string;
}

/** Name of the unprocessed mix, beside the report. */
export const UNPROCESSED_FILE = 'unprocessed.wav';
/** Names of the report. */
export const REPORT_FILE = 'report.json';
const REPORT_PAGE = 'report.html';
const REPORT_TABLE = 'report.csv';

/**
 * The places of a mix.
 *
 * @param folder - where to write; the folder of the plan if undefined
 * @throws RangeError if a file to be written is also read, or written twice, by whatever way its path leads there; or if
 *   it is a folder
 */
export function mixPlaces(planPath: string, plan: MixPlan, folder: string | undefined): MixPlaces {
  const home = dirname(resolve(planPath)),
    target = resolve(folder ?? home);
  const places: MixPlaces = {
    plan: resolve(planPath),
    inputs: Object.fromEntries(Object.entries(plan.inputs).map(([name, { file }]) => [name, resolve(home, file)])),
    references: plan.references.map(({ file }) => resolve(home, file)),
    context: Object.fromEntries(Object.entries(plan.context).map(([name, { file }]) => [name, resolve(home, file)])),
    mix: resolve(target, plan.output.file),
    unprocessed: resolve(target, UNPROCESSED_FILE),
    report: resolve(target, REPORT_FILE),
    reportPage: resolve(target, REPORT_PAGE),
    reportTable: resolve(target, REPORT_TABLE),
  };
  requireApart(places, plan);
  return places;
}

/** @throws RangeError if a file to be written, under whatever name, is one that a mix reads, or a folder */
export function requireUnread(places: MixPlaces, name: string, path: string): void {
  const other = readBy(places).get(realPath(path));
  if (other !== undefined) throw new RangeError(`${name} must not be ${other}, got ${JSON.stringify(path)}`);
  requireNoFolder(name, path);
}

/** Names of what a mix reads, by the paths to which they lead. */
function readBy(places: MixPlaces): Map<string, string> {
  const named = (place: string, paths: Readonly<Record<string, string>>) =>
    Object.entries(paths).map(([name, path]): [string, string] => [realPath(path), `${place}.${name}.file`]);
  return new Map([
    [realPath(places.plan), 'the plan'],
    ...places.references.map((path, r): [string, string] => [realPath(path), `references[${r}].file`]),
    ...named('context', places.context),
    ...named('inputs', places.inputs),
  ]);
}

function requireApart(places: MixPlaces, plan: MixPlan): void {
  const taken = readBy(places);
  for (const file of hitFilesOf(plan)) taken.set(realPath(resolve(dirname(places.plan), file)), file);
  for (const [path, name] of [
    [places.unprocessed, UNPROCESSED_FILE],
    [places.report, REPORT_FILE],
    [places.reportPage, REPORT_PAGE],
    [places.reportTable, REPORT_TABLE],
  ]) {
    const other = taken.get(realPath(path));
    if (other !== undefined) throw new RangeError(`${other} must not be ${name}, which is written`);
    taken.set(realPath(path), name);
    requireNoFolder(name, path);
  }
  const other = taken.get(realPath(places.mix));
  if (other !== undefined) {
    throw new RangeError(`output.file must not be ${other}, got ${JSON.stringify(plan.output.file)}`);
  }
  requireNoFolder('output.file', places.mix);
}

function requireNoFolder(name: string, path: string): void {
  if (statSync(path, { throwIfNoEntry: false })?.isDirectory()) throw new RangeError(`${name} must not be a folder`);
}

/** Where a path leads, links followed as far as there is something. */
function realPath(path: string): string {
  try {
    return realpathSync.native(path);
  } catch {
    const parent = dirname(path);
    return parent === path ? path : join(realPath(parent), basename(path));
  }
}
