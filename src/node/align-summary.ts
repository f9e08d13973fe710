/**
 * What the command line tells of an alignment.
 * @module
 */
import { dirname } from 'node:path';
import type { AlignmentReport, PairReport } from '../mix/alignment-report.ts';
import { speedOfSound } from '../simulation/air.ts';
import type { AlignedPlanFile } from './align-plan-file.ts';
import { table } from './table.ts';

const BY_HAND = 'All moves are set by hand: nothing was listened to.';
const NOT_ASKED = 'The plan asks for no alignment: name its drums and overheads under "alignment".';

/** How every microphone is moved, what each pair has shown, and where the pictures are. */
export function alignmentSummary(aligned: AlignedPlanFile): string {
  const { moves, pairs, sampleRateHz, temperatureC, pictureFiles } = aligned;
  const centimetresPerSample = (100 * speedOfSound(temperatureC)) / sampleRateHz;
  const distances = (samples: number) => [
    fixed(samples, 2),
    fixed((1000 * samples) / sampleRateHz, 3),
    fixed(samples * centimetresPerSample, 1),
  ];
  const moved = Object.entries(moves).map(([name, { delaySamples, polarity }]) => [
    name,
    drumOf(name, pairs),
    ...distances(delaySamples),
    polarity < 0 ? 'inverted' : 'as it is',
  ]);
  const measured = pairs.map((pair) => [
    nameOf(pair),
    pair.drum,
    ...distances(pair.delaySamples),
    pair.polarity < 0 ? 'inverted' : 'same',
    pair.confidence.toFixed(2),
    fixed(pair.residualSamples, 2),
    fixed(pair.low.gainDb, 1),
  ]);
  const remarks = pairs.flatMap((pair) => {
    const all = [pair.note, ...pair.reasons].filter((text) => text !== '');
    return all.length === 0 ? [] : [`${nameOf(pair)}, ${pair.drum}: ${all.join('; ')}`];
  });
  return [
    table(['microphone', 'drum', 'moved by samples', 'ms', 'cm', 'polarity'], moved),
    '',
    ...(pairs.length === 0
      ? [Object.keys(moves).length === 0 ? NOT_ASKED : BY_HAND]
      : [
          table(
            ['pair', 'drum', 'later by samples', 'ms', 'cm', 'polarity', 'confidence', 'left over', 'lows gain dB'],
            measured,
          ),
          '',
        ]),
    ...remarks,
    ...alignmentLines(aligned),
    ...(pictureFiles.length > 0 ? [`${pictureFiles.length} pictures in ${dirname(pictureFiles[0])}`] : []),
  ].join('\n');
}

/** What the sums of two close microphones have gained, and where the mix begins. */
export function alignmentLines({ pairs, leadSamples }: AlignmentReport): readonly string[] {
  return [
    ...pairs.filter(({ close }) => close).map(gainLine),
    ...(leadSamples > 0 ? [`The mix begins ${leadSamples} samples before the inputs, so that nothing is lost.`] : []),
  ];
}

/** The drum that a close microphone is there for. */
function drumOf(name: string, pairs: readonly PairReport[]): string {
  return pairs.find(({ reference, other, close }) => reference === name || (close && other === name))?.drum ?? '';
}

function gainLine(pair: PairReport): string {
  const { fromHz, toHz, gainDb, beforeDb } = pair.low;
  if (pair.hits === 0) return `${nameOf(pair)}: not compared, ${pair.drum} has no hit that both hear`;
  return (
    `${nameOf(pair)}: the sum gains ${gainDb.toFixed(1)} dB from ${fromHz} to ${toHz} Hz, ` +
    `of the ${beforeDb.toFixed(1)} dB that the levels allow`
  );
}

/** Decimals without a minus before zero. */
function fixed(value: number, digits: number): string {
  return value.toFixed(digits).replace(/^-(?=[0.]+$)/, '');
}

function nameOf({ reference, other }: PairReport): string {
  return `${reference} + ${other}`;
}
