/**
 * What the command line tells when it is done.
 * @module
 */
import { alignmentLines } from './align-summary.ts';
import type { HitsFolder } from './hits-plan-file.ts';
import type { MixBatch } from './mix-batch.ts';
import type { MixFileReport } from '../report/mix-file-report.ts';
import type { SimulatedFolder } from './simulate-folder.ts';
import { table } from './table.ts';

/** Peaks and latencies of the strips, then the mix beside the unprocessed mix. */
export function mixSummary({ mix, unprocessed, inputs, speed }: MixFileReport): string {
  const ms = (samples: number) => ((1000 * samples) / mix.sampleRateHz).toFixed(2);
  const strips = Object.entries(mix.strips).map(([path, { endSamples, peakDb }]) => [path, db(peakDb), ms(endSamples)]);
  const files = [
    [mix.file, db(mix.loudnessLufs), db(mix.peakDb)],
    [unprocessed.file, db(unprocessed.loudnessLufs), db(unprocessed.peakDb)],
  ];
  return [
    table(['strip', 'peak dBFS', 'latency ms'], strips),
    '',
    table(['file', 'LUFS', 'peak dBFS'], files),
    ...Object.entries(mix.lowEnd.relativeDb).map(
      ([path, level]) => `${path} adds ${db(level)} dB below ${mix.lowEnd.belowHz} Hz, relative to the dry kit`,
    ),
    '',
    ...Object.entries(mix.hits ?? {}).map(
      ([drum, { hits, rejected, layered, bleed }]) =>
        `${drum}: ${hits} hits, ${rejected} taken for bleed or doubles` +
        (layered ? `; ${layered.samples} samples layered, at most ${layered.farthestMs.toFixed(2)} ms moved` : '') +
        (bleed
          ? `; bleed down ${bleed.bleedDownDb.toFixed(1)} dB, drum changed by ${bleed.drumChangeDb.toFixed(1)} dB`
          : ''),
    ),
    `${speed.mixSeconds.toFixed(1)} s of ${mix.sampleRateHz} Hz in ${speed.renderSeconds.toFixed(1)} s: ` +
      `${speed.timesRealTime.toFixed(1)} times real time`,
    ...alignmentLines(mix.alignment),
    ...((unprocessed.peakDb ?? 0) > 0
      ? [`${unprocessed.file} rises above full scale: play both files lower by that much, or it will be clipped.`]
      : []),
    ...Object.values(inputs)
      .filter(({ truncated }) => truncated)
      .map(({ file }) => `${file} is shorter than its header says: what is there was mixed.`),
    ...(mix.tailCut ? ['A tail without end was cut; output.maxTailSeconds says when.'] : []),
    ...(mix.nonFiniteInputs > 0 ? [`${mix.nonFiniteInputs} input samples were no usable numbers and count as 0.`] : []),
    ...(mix.clippedSamples > 0 ? [`${mix.clippedSamples} samples did not fit the file and were clipped.`] : []),
  ].join('\n');
}

/** What failed and why, how many plans are done, and where that is written. */
export function batchSummary({ entries, manifestFile, mixed, kept, failed }: MixBatch): string {
  return [
    ...Object.entries(entries).flatMap(([plan, entry]) => ('error' in entry ? [`${plan} failed: ${entry.error}`] : [])),
    `${mixed} mixed, ${kept} had been mixed before, ${failed} failed`,
    `written: ${manifestFile}`,
  ].join('\n');
}

/** How many hits every drum has and how loud they are, the hits themselves, and what was taken for none. */
export function hitsSummary({ list, drums, files }: HitsFolder): string {
  const seconds = (sample: number) => (sample / list.sampleRateHz).toFixed(4);
  const counts = Object.keys(drums).map((drum) => {
    const levels = list.hits.filter((hit) => hit.drum === drum).map(({ velocityDb }) => velocityDb);
    const rejected = list.rejected.filter((hit) => hit.drum === drum).length;
    const end = (pick: (...levels: number[]) => number) =>
      levels.length === 0 ? '-' : levels.reduce((a, b) => pick(a, b)).toFixed(1);
    return [drum, String(levels.length), end(Math.min), end(Math.max), String(rejected)];
  });
  const hits = list.hits.map((hit) => [
    seconds(hit.sample),
    hit.drum,
    hit.velocityDb.toFixed(1),
    hit.velocity.toFixed(0),
    hit.confidence.toFixed(2),
    hit.source,
  ]);
  return [
    table(['s', 'drum', 'dBFS', 'velocity', 'confidence', 'source'], hits),
    '',
    table(['drum', 'hits', 'softest dBFS', 'loudest dBFS', 'rejected'], counts),
    '',
    ...list.rejected.map(({ drum, sample, reason }) => `no hit of ${drum} at ${seconds(sample)} s: ${reason}`),
    ...files.map((file) => `written: ${file}`),
  ].join('\n');
}

/** What a simulation wrote, and what to do with it. */
export function simulationSummary(folder: SimulatedFolder): string {
  const plan = folder.planWritten ? folder.planFile : `${folder.planFile} (was there already: left as it is)`;
  return [
    `${folder.stemFiles.length} microphones, ${folder.seconds.toFixed(1)} s, ${folder.hits} hits`,
    `plan: ${plan}`,
    `mix it: batterhead mix ${folder.planFile}`,
  ].join('\n');
}

function db(level: number | null): string {
  return level === null ? 'silent' : level.toFixed(2);
}
