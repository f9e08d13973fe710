/**
 * Quantities by which a finished track is compared with others: bands, dynamics, width, over its loud sections.
 *
 * @module
 */
import { log10 } from '../core/maths.ts';
import { type FrequencyBand, type ThirdOctaveBand, thirdOctaveBands } from '../core/third-octaves.ts';
import { ProgrammeMeter } from '../meters/programme-meter.ts';
import { SpectrumMeter } from '../meters/spectrum.ts';
import { loudSections } from './loud-sections.ts';
import { readSection, type Recording, requireRecording } from './recording.ts';

/** What is measured of a track. */
export interface Quantity {
  /** `band 1000`, `crest factor`, `width of the mids`. */
  readonly name: string;
  /** Which of the three groups the quantity belongs to. */
  readonly kind: 'band' | 'dynamics' | 'width';
  /** Unit of the value. */
  readonly unit: 'dB' | 'LU' | '';
  /** Null where there is none: the width of a mono track, a band that the sample rate cuts. */
  readonly value: number | null;
  /** What is added to the spread of the references on either side: differences below it are not heard as such. */
  readonly tolerance: number;
}

/** A measured track. */
export interface TrackFigures {
  /** Integrated loudness of the whole. */
  readonly loudnessLufs: number;
  /** Third octaves of the loud sections, dB relative to the track's loudness; NaN for those that the sample rate cuts. */
  readonly bandsDb: readonly number[];
  readonly quantities: readonly Quantity[];
}

/** The third octaves that are compared. */
export function comparedBands(): ThirdOctaveBand[] {
  return thirdOctaveBands(19.9, 20000);
}

/** What a third octave is called: its rounded middle (ISO 266). */
export function nominalHz({ frequencyHz }: ThirdOctaveBand): string {
  const decade = [1, 1.25, 1.6, 2, 2.5, 3.15, 4, 5, 6.3, 8];
  const k = Math.round(10 * log10(frequencyHz));
  return String(Number(`${decade[k % 10]}e${Math.floor(k / 10)}`));
}

/** Ranges of frequency by the names the trade has for them (common practice), as far as 44.1 kHz hold them. */
export const RANGES = [
  { name: 'lows', fromHz: 20, toHz: 112.2 },
  { name: 'low mids', fromHz: 112.2, toHz: 501.2 },
  { name: 'mids', fromHz: 501.2, toHz: 1995.3 },
  { name: 'high mids', fromHz: 1995.3, toHz: 6309.6 },
  { name: 'highs', fromHz: 6309.6, toHz: 17782.8 },
] as const satisfies readonly (FrequencyBand & { readonly name: string })[];

/**
 * Share of the sample rate up to which a band counts as whole: above, half of the rate or the filter below it has cut
 * some. It leaves the band of 20 kHz, which ends at 22.4 kHz, to 48 kHz.
 */
const WHOLE_SHARE = 0.47;

/** Differences that hardly anybody hears (common practice). */
const BAND_TOLERANCE_DB = 0.5;
const LEVEL_TOLERANCE_DB = 0.5;
const WIDTH_TOLERANCE = 0.03;

/** Measures a track. @throws RangeError or TypeError for a recording that is none, Error for silence */
export function trackFigures(name: string, recording: Recording): TrackFigures {
  const { sampleRateHz, channels } = recording;
  const format = { sampleRateHz, channels: channels.length };
  const frames = requireRecording(name, recording);
  const whole = new ProgrammeMeter(format);
  readSection(recording, { start: 0, end: frames }, (piece) => {
    whole.process(piece);
  });
  const { integratedLufs } = whole.figures;
  if (!Number.isFinite(integratedLufs)) {
    throw new RangeError(`${name}: must hold sound of at least 400 ms above -70 LUFS, to be compared by its loudness`);
  }
  const loud = new ProgrammeMeter(format);
  const spectrum = new SpectrumMeter(format);
  for (const section of loudSections(recording)) {
    readSection(recording, section, (piece) => {
      loud.process(piece);
      spectrum.process(piece);
    });
  }
  const figures = loud.figures;
  const isWhole = ({ toHz }: FrequencyBand) => toHz <= WHOLE_SHARE * sampleRateHz;
  const bandsDb = spectrum.levels(comparedBands()).map((band) => (isWhole(band) ? band.levelDb - integratedLufs : NaN));
  const ranges = spectrum.levels(RANGES);
  const dynamics = (label: string, unit: 'dB' | 'LU', value: number | null): Quantity => ({
    name: label,
    kind: 'dynamics',
    unit,
    value,
    tolerance: LEVEL_TOLERANCE_DB,
  });
  return {
    loudnessLufs: integratedLufs,
    bandsDb,
    quantities: [
      dynamics('crest factor', 'dB', figures.crestDb),
      dynamics('peak-to-loudness ratio', 'dB', figures.peakToLoudnessDb),
      dynamics('loudness range', 'LU', whole.figures.rangeLu),
      dynamics('transient-to-sustain ratio', 'dB', figures.transientToSustainDb),
      ...ranges.map((range): Quantity => ({
        name: `width of the ${range.name}`,
        kind: 'width',
        unit: '',
        value: isWhole(range) ? range.width : null,
        tolerance: WIDTH_TOLERANCE,
      })),
    ],
  };
}

/** The third octaves as quantities, from levels that have been made comparable. */
export function bandQuantities(levelsDb: readonly (number | null)[]): Quantity[] {
  return comparedBands().map((band, b) => ({
    name: `band ${nominalHz(band)}`,
    kind: 'band',
    unit: 'dB',
    value: levelsDb[b],
    tolerance: BAND_TOLERANCE_DB,
  }));
}
