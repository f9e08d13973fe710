/**
 * Dry run of a plan file: everything of a mix that can be refused, and what it would do and cost, without a sound.
 *
 *     plan.json, WAV files --> read, checked, listened to --> routing, latency, cost
 *
 * @module
 */
import { alignInputs } from '../mix/align-inputs.ts';
import { type CostEstimate, estimateCost } from '../mix/estimate-cost.ts';
import type { MixPlan } from '../mix/plan.ts';
import { destinations, stripsOf } from '../mix/plan-strips.ts';
import { type MixReport, prepareMix } from '../mix/renderer.ts';
import { readHitFiles } from './hit-files.ts';
import { mixPlaces } from './mix-places.ts';
import { type MixPlanFileOptions, readPlanFile } from './mix-plan-file.ts';
import { table } from './table.ts';
import { openInputs } from './wav-files.ts';

/** What a mix would do. */
export interface DryRun {
  readonly plan: MixPlan;
  /** As after a mix, but for all that only rendering can tell: nothing has sounded. */
  readonly report: MixReport;
  readonly cost: CostEstimate;
}

/** Checks the plan at `planPath` as `mixPlanFile` does, and throws what that would throw; writes nothing. */
export function dryRunPlanFile(
  planPath: string,
  { folder, chunkFrames }: Pick<MixPlanFileOptions, 'folder' | 'chunkFrames'> = {},
): DryRun {
  const plan = readPlanFile(planPath);
  const places = mixPlaces(planPath, plan, folder);
  const inputs = openInputs(places.inputs);
  try {
    const [{ sampleRateHz }] = Object.values(inputs);
    const mix = prepareMix(plan, inputs, {
      alignment: alignInputs(plan, inputs),
      hits: readHitFiles(planPath, plan, sampleRateHz),
      ...(chunkFrames !== undefined && { chunkFrames }),
    });
    const report = mix.report(mix.start({ write: () => {} }));
    return { plan, report, cost: estimateCost(plan, { sampleRateHz, inputs }) };
  } finally {
    for (const input of Object.values(inputs)) input.close();
  }
}

/** Every strip with what it hears, runs and feeds, when it ends and what it costs; then the whole. */
export function dryRunSummary({ plan, report, cost }: DryRun): string {
  const ms = (samples: number) => ((1000 * samples) / report.sampleRateHz).toFixed(2);
  const percent = (share: number) => (100 * share).toFixed(2);
  const strips = new Map(stripsOf(plan).map((strip) => [strip.path, strip]));
  const rows = Object.entries(report.strips).map(([path, { startSamples, endSamples }]) => {
    const strip = strips.get(path)!; // the report tells of the plan's strips
    return [
      path,
      strip.input ?? '',
      strip.plan.chain.map(({ type }) => type).join(' > '),
      destinations(plan, strip).join(', '),
      ms(endSamples - startSamples),
      ms(endSamples),
      percent(cost.strips[path]),
    ];
  });
  const { sampleRateHz, frames, latencySamples, tailSamples, tailCut } = report;
  return [
    table(['strip', 'input', 'blocks', 'feeds', 'latency ms', 'in all ms', '% of a core'], rows, 4),
    '',
    `mix: ${(frames / sampleRateHz).toFixed(1)} s of ${sampleRateHz} Hz, of which ${ms(tailSamples)} ms are its tail` +
      (tailCut ? ', cut at output.maxTailSeconds' : ''),
    `latency: ${latencySamples} samples, ${ms(latencySamples)} ms, taken out of the file`,
    `cost, estimated: ${percent(cost.coreShare)} % of one core live, ${cost.timesRealTime.toFixed(1)} times real time on one core`,
    'nothing was rendered, nothing was written',
  ].join('\n');
}
