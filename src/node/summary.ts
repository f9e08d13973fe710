/**
 * What the command line tells when it is done.
 * @module
 */
import { alignmentLines } from './align-summary.ts';
import type { MixFileReport } from './mix-file-report.ts';
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
