/**
 * Compares a WAV file with others, and cuts excerpts of all of them for listening.
 * @module
 */
import { basename, join } from 'node:path';
import { excerptOf } from '../comparison/excerpts.ts';
import type { Recording } from '../comparison/loud-sections.ts';
import { compareWithReferences, type ReferenceComparison } from '../comparison/references.ts';
import { StagedFiles } from './files.ts';
import { WavInput, WavOutput } from './wav-files.ts';

/** Reads a whole file into memory. @throws Error, with the path, if it is no WAV file */
function readRecording(path: string): Recording {
  const file = new WavInput(path);
  try {
    const channels = Array.from({ length: file.channels }, () => new Float32Array(file.frames));
    file.read(0, channels, file.frames);
    return { sampleRateHz: file.sampleRateHz, channels };
  } finally {
    file.close();
  }
}

/**
 * Compares the mix at `mixPath` with the files at `referencePaths`, named by their paths.
 *
 * @param excerptFolder - where excerpts of equal loudness are written: `excerpt-1-<name>.wav` is that of the mix
 * @throws RangeError without a reference, or for a file without sound
 */
export function compareFiles(
  mixPath: string,
  referencePaths: readonly string[],
  excerptFolder?: string,
): ReferenceComparison {
  const mix = readRecording(mixPath);
  const references = Object.fromEntries(referencePaths.map((path) => [path, readRecording(path)]));
  const comparison = compareWithReferences(mix, references);
  if (excerptFolder !== undefined) writeExcerpts({ [mixPath]: mix, ...references }, excerptFolder);
  return comparison;
}

function writeExcerpts(recordings: Readonly<Record<string, Recording>>, folder: string): void {
  const files = new StagedFiles();
  try {
    Object.entries(recordings).forEach(([path, recording], i) => {
      const { channels } = excerptOf(recording);
      const output = new WavOutput(files.add(join(folder, `excerpt-${i + 1}-${basename(path)}`)), {
        sampleRateHz: recording.sampleRateHz,
        channels: channels.length,
        encoding: 'integer',
        bitsPerSample: 24,
      });
      try {
        output.write(channels, 0, channels[0].length);
        output.finish();
      } catch (error) {
        output.discard();
        throw error;
      }
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
