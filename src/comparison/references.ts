/**
 * Comparison with references: where a mix lies within, or beyond, what several finished tracks span.
 *
 *     margin of a quantity = [ least reference - tolerance, greatest reference + tolerance ]
 *
 * Every track is taken at one loudness. Of the third octaves the balance is compared: the median difference of a track
 * to the mean of the references, over the bands, is taken out, so that one raised range does not make all others read as
 * lowered.
 *
 * @module
 */
import { median } from '../core/median.ts';
import type { ThirdOctaveBand } from '../core/third-octaves.ts';
import {
  bandQuantities,
  comparedBands,
  nominalHz,
  type Quantity,
  RANGES,
  type TrackFigures,
  trackFigures,
} from './quantities.ts';
import type { Recording } from './recording.ts';

/** A quantity of the mix against the references. */
export interface ComparedQuantity extends Omit<Quantity, 'value'> {
  /** Of the mix. */
  readonly value: number;
  /** Least of the references, without the tolerance. */
  readonly least: number;
  /** Greatest of the references, without the tolerance. */
  readonly greatest: number;
  /** Where the mix lies against the margin. */
  readonly verdict: 'inside' | 'above' | 'below';
  /** How far the mix lies above the greatest (positive) or below the least reference (negative); 0 between them. */
  readonly beyond: number;
}

/** A mix among its references. */
export interface ReferenceComparison {
  /** What brings each reference to the loudness of the mix, in dB. */
  readonly gainsDb: Readonly<Record<string, number>>;
  /** Integrated loudness of the mix, LUFS. */
  readonly mixLoudnessLufs: number;
  /** Every quantity with its margin and the verdict. */
  readonly quantities: readonly ComparedQuantity[];
  /** What lies outside, in words, the greatest first: `low mids (160 to 315 Hz) up to 3.1 dB above the highest reference`. */
  readonly findings: readonly string[];
}

/**
 * Compares a mix with references of any number, sample rate and loudness.
 *
 * @throws RangeError without a reference, or for a track without sound
 */
export function compareWithReferences(
  mix: Recording,
  references: Readonly<Record<string, Recording>>,
): ReferenceComparison {
  const names = Object.keys(references);
  if (names.length === 0) throw new RangeError('compareWithReferences: references must be at least one');
  return compareTracks(
    trackFigures('mix', mix),
    Object.fromEntries(names.map((name) => [name, trackFigures(`references.${name}`, references[name])])),
  );
}

/** The same of tracks that have been measured. There must be at least one besides the mix. */
export function compareTracks(own: TrackFigures, tracks: Readonly<Record<string, TrackFigures>>): ReferenceComparison {
  const names = Object.keys(tracks),
    others = Object.values(tracks);
  const [ownBands, ...otherBands] = balanced(own, others);
  const mine = [...bandQuantities(ownBands), ...own.quantities];
  const theirs = others.map(({ quantities }, r) => [...bandQuantities(otherBands[r]), ...quantities]);
  const quantities = mine.flatMap((quantity, q) =>
    compared(
      quantity,
      theirs.map((list) => list[q].value),
    ),
  );
  return {
    gainsDb: Object.fromEntries(names.map((name, r) => [name, own.loudnessLufs - others[r].loudnessLufs])),
    mixLoudnessLufs: own.loudnessLufs,
    quantities,
    findings: findingsOf(quantities),
  };
}

/** Band levels of the mix and of every reference, comparable; null where one of the tracks has none. */
function balanced(own: TrackFigures, others: readonly TrackFigures[]): (number | null)[][] {
  const known = own.bandsDb.map((_, b) => [own, ...others].every(({ bandsDb }) => Number.isFinite(bandsDb[b])));
  const mean = own.bandsDb.map((_, b) => others.reduce((sum, { bandsDb }) => sum + bandsDb[b], 0) / others.length);
  return [own, ...others].map(({ bandsDb }) => {
    const differences = bandsDb.map((level, b) => level - mean[b]).filter((_, b) => known[b]);
    const offset = median(differences);
    return bandsDb.map((level, b) => (known[b] ? level - offset : null));
  });
}

function compared({ value, ...quantity }: Quantity, references: readonly (number | null)[]): ComparedQuantity[] {
  const known = references.filter((one) => one !== null);
  if (value === null || known.length === 0) return [];
  const least = Math.min(...known),
    greatest = Math.max(...known);
  const beyond = value > greatest ? value - greatest : value < least ? value - least : 0;
  const outside = Math.abs(beyond) > quantity.tolerance;
  return [
    { ...quantity, value, least, greatest, beyond, verdict: outside ? (beyond > 0 ? 'above' : 'below') : 'inside' },
  ];
}

/** Sentences, the greatest departure relative to its tolerance first; neighbouring bands share one. */
function findingsOf(quantities: readonly ComparedQuantity[]): string[] {
  const bands = comparedBands();
  const runs: { readonly quantity: ComparedQuantity; readonly bands: ThirdOctaveBand[]; worst: number }[] = [];
  let before: ComparedQuantity | undefined;
  for (const quantity of quantities) {
    const band = bands.find((one) => quantity.name === `band ${nominalHz(one)}`);
    const run = runs.at(-1);
    if (quantity.verdict !== 'inside') {
      if (
        band &&
        run &&
        before?.kind === 'band' &&
        before.verdict === quantity.verdict &&
        sameRange(run.bands[0], band)
      ) {
        run.bands.push(band);
        run.worst = Math.max(run.worst, Math.abs(quantity.beyond));
      } else runs.push({ quantity, bands: band ? [band] : [], worst: Math.abs(quantity.beyond) });
    }
    before = quantity;
  }
  return runs
    .sort((a, b) => b.worst / b.quantity.tolerance - a.worst / a.quantity.tolerance)
    .map(({ quantity, bands: run, worst }) => {
      const where = run.length === 0 ? quantity.name : `${rangeOf(run[0])} (${span(run)} Hz)`;
      const amount = `${run.length > 1 ? 'up to ' : ''}${worst.toFixed(quantity.unit === '' ? 2 : 1)} ${quantity.unit}`;
      const side = quantity.verdict === 'above' ? 'above the highest' : 'below the lowest';
      return `${where} ${amount.trim()} ${side} reference`;
    });
}

function rangeOf({ frequencyHz }: ThirdOctaveBand): string {
  return RANGES.find(({ toHz }) => frequencyHz < toHz)?.name ?? 'highs';
}

function sameRange(a: ThirdOctaveBand, b: ThirdOctaveBand): boolean {
  return rangeOf(a) === rangeOf(b);
}

function span(run: readonly ThirdOctaveBand[]): string {
  const [first, last] = [nominalHz(run[0]), nominalHz(run.at(-1) as ThirdOctaveBand)];
  return first === last ? first : `${first} to ${last}`;
}
