/**
 * Batch: mixes all plans below a folder, one after the other; what is done already stays.
 *
 *     songs/one/plan.json   ----> songs/mixes/one/plan/    mix, unprocessed mix, report
 *     songs/two.plan.json   ----> songs/mixes/two.plan/    mix, unprocessed mix, report
 *                                 songs/mixes/manifest.json    checksums of all that was read and written, or what went wrong
 *
 * A batch that was stopped, however that happened, is begun again by the same command: a plan is done when its report is
 * there and all checksums in it are those of the files. A plan that fails is told in the manifest and stops no other. The
 * manifest holds no times and nothing of its run, so that it is the same whether the batch was interrupted or not.
 *
 * A shard is every Nth plan: machines that share the folder do one each, and a run without shards then finds everything done
 * and writes the manifest of the whole.
 *
 * @module
 */
import { readdirSync, readFileSync, rmSync } from 'node:fs';
import { dirname, join, relative, resolve, sep } from 'node:path';
import { requireInteger } from '../core/check.ts';
import type { FileReport, MixFileReport } from '../report/mix-file-report.ts';
import { isTemporary, sha256OfFile, writeWhole } from './files.ts';
import { mixPlanFile, type MixStage, readPlanFile } from './mix-plan-file.ts';
import { mixPlaces, REPORT_FILE } from './mix-places.ts';

/** Which plans of a batch are mixed: every `count`th, beginning with number `index`, from 1. */
export interface Shard {
  /** 1 to `count`. */
  readonly index: number;
  /** How many shards there are, 1 to 1e6. */
  readonly count: number;
}

/** How a batch is mixed. */
export interface MixBatchOptions {
  /** Folder for what is written; `mixes` in the folder of the plans unless given. */
  readonly folder?: string | undefined;
  /** Which plans; all of them unless given. */
  readonly shard?: Shard | undefined;
  /** Threads of each mix, 1 to 64; 1 unless given. */
  readonly threads?: number | undefined;
  /** Stops the batch: the promise is then rejected with the signal's reason. */
  readonly signal?: AbortSignal | undefined;
  /** Called with the plan that is mixed, the stage, and how much of it is done. */
  readonly onProgress?: (plan: string, stage: MixStage, done: number, total: number) => void;
}

/** What became of a plan: checksums of what was read and written, or the reason why there is nothing. */
export type BatchEntry =
  | {
      /** SHA-256 of the plan. */
      readonly planSha256: string;
      /** What was read besides it. */
      readonly read: readonly FileReport[];
      /** What was written, by paths relative to the folder of the mixes. */
      readonly written: readonly FileReport[];
    }
  | {
      /** Why the plan was not mixed. */
      readonly error: string;
    };

/** What became of a batch; `manifest.json` holds its entries. */
export interface MixBatch {
  /** By the paths of the plans, relative to their folder. */
  readonly entries: Readonly<Record<string, BatchEntry>>;
  /** Path of the manifest. */
  readonly manifestFile: string;
  /** Plans that were mixed now. */
  readonly mixed: number;
  /** Plans that had been mixed before. */
  readonly kept: number;
  /** Plans that were refused, or whose files could not be read or written. */
  readonly failed: number;
}

/** Files that are plans: `plan.json`, `loud.plan.json`. */
const PLAN_NAME = /(^|\.)plan\.json$/;

/**
 * Mixes the plans below `folder`.
 *
 * @throws RangeError for a shard that there is not, or a folder without plans; Error if the manifest cannot be written
 */
export async function mixBatch(folder: string, options: MixBatchOptions = {}): Promise<MixBatch> {
  const { shard = { index: 1, count: 1 }, signal } = options;
  requireInteger('mixBatch: shard.count', shard.count, 1, 1e6);
  requireInteger('mixBatch: shard.index', shard.index, 1, shard.count);
  const target = resolve(options.folder ?? join(folder, 'mixes'));
  const plans = plansBelow(folder, target);
  if (plans.length === 0) throw new RangeError(`${folder} must hold plans: files whose names end in plan.json`);
  const own = plans.filter((_, p) => p % shard.count === shard.index - 1);
  const part = shard.count === 1 ? '' : `-${shard.index}-of-${shard.count}`;
  const manifestFile = join(target, `manifest${part}.json`);
  const entries: Record<string, BatchEntry> = {};
  const counts = { mixed: 0, kept: 0, failed: 0 };
  for (const plan of own) {
    signal?.throwIfAborted();
    const path = join(folder, plan),
      place = join(target, plan.replace(/\.json$/, ''));
    let entry = entryOf(path, place, target);
    if (entry) counts.kept++;
    else {
      entry = await mixed(path, place, target, {
        threads: options.threads,
        signal,
        onProgress: (stage, done, total) => options.onProgress?.(plan, stage, done, total),
      });
      if ('error' in entry) entry = { error: withoutFolder(entry.error, folder) };
      counts['error' in entry ? 'failed' : 'mixed']++;
    }
    entries[plan.split(sep).join('/')] = entry;
    writeWhole(manifestFile, `${JSON.stringify({ plans: entries }, null, 2)}\n`);
  }
  return { entries, manifestFile, ...counts };
}

/** Paths of the plans, relative to `folder`, sorted; what was written is not searched. */
function plansBelow(folder: string, target: string): readonly string[] {
  const below = (path: string): string[] =>
    readdirSync(join(folder, path), { withFileTypes: true }).flatMap((item) => {
      const here = join(path, item.name);
      if (item.isDirectory()) return resolve(folder, here) === target ? [] : below(here);
      return PLAN_NAME.test(item.name) ? [here] : [];
    });
  return below('').sort();
}

/** Mixes one plan; an error becomes its entry, unless it is the reason of the signal. */
async function mixed(
  path: string,
  place: string,
  target: string,
  options: {
    threads: number | undefined;
    signal: AbortSignal | undefined;
    onProgress: (stage: MixStage, done: number, total: number) => void;
  },
): Promise<BatchEntry> {
  try {
    requireInside(path, place);
    removeLeftOvers(place);
    await mixPlanFile(path, { ...options, folder: place });
    const entry = entryOf(path, place, target);
    if (!entry) throw new Error(`${path} or a file that it names has changed while it was mixed`);
    return entry;
  } catch (error) {
    options.signal?.throwIfAborted();
    return { error: error instanceof Error ? error.message : String(error) };
  }
}

/** A message with the paths of its files as they are within the folder, wherever that is. */
function withoutFolder(message: string, folder: string): string {
  return message.replaceAll(join(resolve(folder), sep), '').replaceAll(join(folder, sep), '');
}

/** The entry of a plan whose report is there and true; undefined if it is still to be mixed. */
function entryOf(path: string, place: string, target: string): BatchEntry | undefined {
  try {
    const report = JSON.parse(readFileSync(join(place, REPORT_FILE), 'utf8')) as MixFileReport;
    const { inputs, mix, unprocessed } = mixPlaces(path, readPlanFile(path), place);
    const home = dirname(resolve(path));
    const { hitFiles, references, context } = report;
    const read = [
      ...Object.values(report.inputs),
      ...hitFiles,
      ...(references?.files ?? []),
      ...Object.values(context?.files ?? {}),
    ].map(({ file, sha256 }) => ({ file, sha256 }));
    const files: readonly (readonly [path: string, sha256: string])[] = [
      [path, report.plan.sha256],
      ...read.map(({ file, sha256 }) => [resolve(home, file), sha256] as const),
      [mix, report.mix.sha256],
      [unprocessed, report.unprocessed.sha256],
    ];
    const all = Object.keys(inputs).every((name) => Object.hasOwn(report.inputs, name));
    if (!all || files.some(([file, sha256]) => sha256OfFile(file) !== sha256)) return undefined;
    const written = [mix, unprocessed].map((file, f) => ({
      file: relative(target, file).split(sep).join('/'),
      sha256: [report.mix, report.unprocessed][f].sha256,
    }));
    return { planSha256: report.plan.sha256, read, written };
  } catch {
    return undefined; // no report, no plan, or a file is missing: whoever mixes it will be told
  }
}

/** @throws RangeError if the mix would not lie in the plan's own place, where no other plan's can be */
function requireInside(path: string, place: string): void {
  const plan = readPlanFile(path);
  const way = relative(place, mixPlaces(path, plan, place).mix);
  if (way.startsWith('..') || resolve(way) === way) {
    throw new RangeError(
      `output.file must not lead out of its folder in a batch, got ${JSON.stringify(plan.output.file)}`,
    );
  }
}

/** Removes what a mix that was killed has left under names that nobody takes for whole files. */
function removeLeftOvers(place: string): void {
  let names: string[] = [];
  try {
    names = readdirSync(place);
  } catch {
    return; // nothing has been there
  }
  for (const name of names) if (isTemporary(name)) rmSync(join(place, name));
}
