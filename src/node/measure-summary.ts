/**
 * What `batterhead measure` tells: a table to read, or every figure as CSV or JSON.
 * @module
 */
import { csvCell } from '../report/report-csv.ts';
import type { MeasuredFile } from './measure-file.ts';
import { table } from './table.ts';

/** A column of the table and of the CSV. */
interface Column {
  readonly head: string;
  readonly name: Exclude<keyof MeasuredFile, 'channelLevels' | 'thirdOctaves' | 'erbBands'>;
  readonly decimals?: number;
}

/** The figures that are one number for the whole file: those with a head are in the table, all are in the CSV. */
function columns(): readonly Column[] {
  return [
    { head: 'file', name: 'file' },
    { head: 's', name: 'seconds', decimals: 1 },
    { head: '', name: 'sampleRateHz' },
    { head: '', name: 'frames' },
    { head: 'LUFS', name: 'integratedLufs', decimals: 1 },
    { head: 'LRA', name: 'rangeLu', decimals: 1 },
    { head: 'max M', name: 'maximumMomentaryLufs', decimals: 1 },
    { head: 'max S', name: 'maximumShortTermLufs', decimals: 1 },
    { head: 'dBTP', name: 'truePeakDb', decimals: 1 },
    { head: 'peak', name: 'samplePeakDb', decimals: 1 },
    { head: 'PLR', name: 'peakToLoudnessDb', decimals: 1 },
    { head: 'rms', name: 'rmsDb', decimals: 1 },
    { head: '', name: 'rmsAes17Db' },
    { head: 'crest', name: 'crestDb', decimals: 1 },
    { head: 'punch', name: 'transientToSustainDb', decimals: 1 },
    { head: 'corr', name: 'correlation', decimals: 2 },
    { head: 'clipped', name: 'clippedRuns', decimals: 0 },
    { head: '', name: 'clippedSamples' },
    { head: '', name: 'nonFiniteSamples' },
    { head: '', name: 'truncated' },
  ];
}

/** The main figures, a line for each file, and what they mean. */
export function measureTable(files: readonly MeasuredFile[]): string {
  const shown = columns().filter(({ head }) => head !== '');
  const rows = files.map((file) => shown.map(({ name, decimals = 0 }) => cell(file[name], decimals)));
  return [
    table(
      shown.map(({ head }) => head),
      rows,
    ),
    '',
    'LUFS integrated loudness, LRA its range (LU), M and S of 400 ms and 3 s; dBTP true peak; peak, rms in dBFS (a square',
    'wave of full scale is 0, a sine -3); PLR true peak - LUFS; punch transient to sustain (dB); corr of two channels;',
    'clipped: runs of 3 and more samples at full scale. - stands for no figure: silence, or too short.',
    ...files
      .filter(({ truncated }) => truncated)
      .map(({ file }) => `${file} is shorter than its header says: what is there was measured.`),
    ...files
      .filter(({ nonFiniteSamples }) => nonFiniteSamples > 0)
      .map(
        ({ file, nonFiniteSamples }) => `${file}: ${nonFiniteSamples} samples were no usable numbers and count as 0.`,
      ),
  ].join('\n');
}

/** A line for each file, with a line of names first: all figures, then the levels of the third octaves and ERB bands. */
export function measureCsv(files: readonly MeasuredFile[]): string {
  const names = columns().map(({ name }) => name);
  const bands = (['thirdOctaves', 'erbBands'] as const).flatMap((kind) =>
    (files[0]?.[kind] ?? []).flatMap((band, b) =>
      (['levelDb', 'correlation', 'width'] as const).map((figure) => ({
        kind,
        b,
        figure,
        name: `${band.frequencyHz.toPrecision(4)}Hz`,
      })),
    ),
  );
  const head = [
    ...names,
    ...bands.map(({ kind, b, figure, name }) => `${kind === 'erbBands' ? `erb${b + 1}` : name}.${figure}`),
  ];
  const rows = files.map((file) => [
    ...names.map((name) => file[name]),
    ...bands.map(({ kind, b, figure }) => file[kind][b][figure]),
  ]);
  return [head, ...rows].map((row) => row.map(csvCell).join(',')).join('\n');
}

/** Everything, a list of one object for each file; null stands for no figure. */
export function measureJson(files: readonly MeasuredFile[]): string {
  // JSON has no infinities: it writes null for them, as for what is null already.
  return JSON.stringify(files, null, 2);
}

function cell(value: string | number | boolean | null, decimals: number): string {
  if (typeof value !== 'number') return typeof value === 'string' ? value : '-';
  return Number.isFinite(value) ? value.toFixed(decimals) : '-';
}
