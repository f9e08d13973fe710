/**
 * Cymbals and the hat: a few partials that ring, and a wash of very many that cannot be told apart.
 *
 *     ring: f_k = f_1 + (k + jitter) spacing        the modes of a plate lie equally dense at every frequency
 *     wash: noise bands, two per octave             each with its own level, onset and decay
 *
 * High bands rise a moment later, because the energy has to spread upwards from the modes that the stick excites, and
 * die sooner: T60(f) = T60(low) (f / f_low)^-slope. A harder stroke is brighter by its shorter contact.
 *
 * Source: N. H. Fletcher, T. D. Rossing, "The Physics of Musical Instruments", chapters on plates and cymbals (modal
 * density, build-up of high frequencies), from memory; the figures of each cymbal are plausible, not measured.
 *
 * @module
 */
import { log2, pow } from '../core/maths.ts';
import { Random } from '../core/random.ts';
import { contactSeconds, contactSpectrum } from './contact.ts';
import { addNoiseBands, type NoiseBand } from './noise-bands.ts';
import { addPartials, AUDIBLE_DECAYS, type Partial } from './partials.ts';

/** One cymbal. */
export interface CymbalSettings {
  /** Number of ringing partials, their lowest frequency and mean distance. */
  readonly partials: number;
  readonly lowestHz: number;
  readonly spacingHz: number;
  /** Amplitude of all partials together relative to the wash. */
  readonly ring: number;
  /** Lowest and highest centre of the wash, and the frequency at which it is strongest. */
  readonly washHz: readonly [number, number];
  readonly brightestHz: number;
  /** T60 at the lowest band, and how fast it falls: 0.5 halves it every two octaves. */
  readonly decaySeconds: number;
  readonly decaySlope: number;
  /** Time constant of the onset at the highest band. */
  readonly riseMs: number;
  /** Contact time of the hardest stroke. */
  readonly contactMs: number;
  /** Draws the partials: the same number is the same cymbal. */
  readonly casting: number;
}

/** How much weaker the wash gets per octave away from its strongest frequency. */
const WASH_FALL_PER_OCTAVE = 0.5;

/** Below this a thin plate bends in waves shorter than those in air and radiates badly; a round figure. */
const COINCIDENCE_HZ = 4000;

/** One stroke on a cymbal, not yet scaled. */
export function strikeCymbal(
  settings: CymbalSettings,
  sampleRateHz: number,
  velocity: number,
  random: Random,
): Float64Array {
  const output = new Float64Array(Math.ceil(AUDIBLE_DECAYS * settings.decaySeconds * sampleRateHz));
  const contact = contactSeconds(settings.contactMs / 1000, velocity);
  addPartials(output, ringPartials(settings, contact), sampleRateHz);
  addNoiseBands(output, washBands(settings, contact), sampleRateHz, random);
  return output;
}

function ringPartials(settings: CymbalSettings, contact: number): Partial[] {
  const casting = new Random(settings.casting);
  const scale = settings.ring / Math.sqrt(settings.partials);
  return Array.from({ length: settings.partials }, (_, k) => {
    const frequencyHz = settings.lowestHz + (k + casting.next()) * settings.spacingHz;
    const radiation = frequencyHz / (frequencyHz + COINCIDENCE_HZ);
    const amplitude = scale * (2 * casting.next() - 1) * radiation * contactSpectrum(frequencyHz, contact);
    return { frequencyHz, amplitude, decaySeconds: decayAt(settings, frequencyHz) };
  });
}

function washBands(settings: CymbalSettings, contact: number): NoiseBand[] {
  const [lowHz, highHz] = settings.washHz;
  const bands: NoiseBand[] = [];
  for (let centreHz = lowHz; centreHz <= highHz; centreHz *= Math.SQRT2) {
    const octavesAway = Math.abs(log2(centreHz / settings.brightestHz));
    bands.push({
      centreHz,
      widthHz: centreHz * (Math.SQRT2 - Math.SQRT1_2) * 0.7,
      amplitude: pow(WASH_FALL_PER_OCTAVE, octavesAway) * contactSpectrum(centreHz, contact),
      riseSeconds: ((settings.riseMs / 1000) * centreHz) / highHz,
      decaySeconds: decayAt(settings, centreHz),
    });
  }
  return bands;
}

/** T60 at a frequency; no longer than that of the lowest band. */
function decayAt(settings: CymbalSettings, frequencyHz: number): number {
  return settings.decaySeconds * Math.min(1, pow(frequencyHz / settings.washHz[0], -settings.decaySlope));
}
