/**
 * Compares a WAV file with others, and cuts excerpts of all of them for listening.
 * @module
 */
import { basename, join } from 'node:path';
import { excerptOf } from '../comparison/excerpts.ts';
import type { Recording } from '../comparison/recording.ts';
import { compareWithReferences, type ReferenceComparison } from '../comparison/references.ts';
import { StagedFiles } from './files.ts';
import { WavInput, writeWavFile } from './wav-files.ts';
import { recordingOfFile } from './wav-sources.ts';

/**
 * Compares the mix at `mixPath` with the files at `referencePaths`, named by their paths. The files are read in pieces.
 *
 * @param excerptFolder - where excerpts of equal loudness are written: `excerpt-1-<name>.wav` is that of the mix
 * @throws RangeError without a reference, or for a file without sound; Error, with the path, for what is no WAV file
 */
export function compareFiles(
  mixPath: string,
  referencePaths: readonly string[],
  excerptFolder?: string,
): ReferenceComparison {
  const files: WavInput[] = [];
  const open = (path: string): Recording => {
    const file = new WavInput(path);
    files.push(file);
    return recordingOfFile(file);
  };
  try {
    const mix = open(mixPath);
    const references = Object.fromEntries(referencePaths.map((path) => [path, open(path)]));
    const comparison = compareWithReferences(mix, references);
    if (excerptFolder !== undefined) writeExcerpts([[mixPath, mix], ...Object.entries(references)], excerptFolder);
    return comparison;
  } finally {
    for (const file of files) file.close();
  }
}

function writeExcerpts(recordings: readonly (readonly [path: string, recording: Recording])[], folder: string): void {
  const files = new StagedFiles();
  try {
    recordings.forEach(([path, recording], i) => {
      const { sampleRateHz } = recording;
      const staged = files.add(join(folder, `excerpt-${i + 1}-${basename(path)}`));
      writeWavFile(staged, excerptOf(recording).channels, { sampleRateHz, encoding: 'integer', bitsPerSample: 24 });
    });
    files.publish();
  } finally {
    files.discard();
  }
}

/** What a person reads: the findings, then every quantity with the span of the references. */
export function comparisonTable({ mixLoudnessLufs, gainsDb, quantities, findings }: ReferenceComparison): string {
  const gains = Object.entries(gainsDb).map(([name, gainDb]) => `  ${name}: ${signed(gainDb)} dB`);
  const rows = quantities.map(({ name, unit, value, least, greatest, verdict }) => {
    const number = (x: number) => x.toFixed(unit === '' ? 2 : 1).padStart(7);
    return `  ${name.padEnd(28)}${number(value)}   ${number(least)} to${number(greatest)} ${unit.padEnd(3)} ${verdict}`;
  });
  return [
    `Loudness of the mix: ${mixLoudnessLufs.toFixed(1)} LUFS. To hear the references as loud as it, change them by`,
    ...gains,
    '',
    findings.length === 0 ? 'The mix lies within its references in every quantity.' : 'Outside the references:',
    ...findings.map((finding) => `  ${finding}`),
    '',
    `  ${'quantity'.padEnd(28)}    mix      references`,
    ...rows,
  ].join('\n');
}

function signed(x: number): string {
  return `${x < 0 ? '' : '+'}${x.toFixed(1)}`;
}
