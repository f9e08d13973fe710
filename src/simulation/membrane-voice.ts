/**
 * Drums with a head: kick, toms, and the body of the snare.
 *
 *     stick or beater --contact time--> modes of the membrane --damping by frequency--> sound
 *            \------------------------> click (a burst of noise) -----------------------^
 *
 * The higher a mode, the faster it dies: 1 / T60(f) = 1 / T60(f01) + loss (f - f01), a loss in proportion to
 * frequency on top of what the lowest mode radiates. The stretch of a hard blow raises the pitch with the square of its velocity.
 *
 * @module
 */
import type { Random } from '../core/random.ts';
import { contactSeconds, contactSpectrum } from './contact.ts';
import { membraneModes } from './membrane-modes.ts';
import { addNoiseBands, type NoiseBand } from './noise-bands.ts';
import { addPartials, AUDIBLE_DECAYS, type Partial } from './partials.ts';

/** One drum with a head. */
export interface MembraneSettings {
  /** Lowest mode, relaxed. */
  readonly fundamentalHz: number;
  /** Where it is struck: 0 centre, 1 rim. */
  readonly strikeRadius: number;
  /** T60 of the lowest mode. */
  readonly decaySeconds: number;
  /** How much 1 / T60 grows per Hz. */
  readonly lossPerHz: number;
  /** Contact time of the hardest blow. */
  readonly contactMs: number;
  /** How much the hardest blow is sharp at first: 0.1 is 10 %. */
  readonly bendRatio: number;
  readonly bendMs: number;
  /** The click of stick or beater, relative to the modes. */
  readonly click: readonly NoiseBand[];
}

/** One stroke on a head, not yet scaled; the modes together have an rms amplitude near 1. */
export function strikeMembrane(
  settings: MembraneSettings,
  sampleRateHz: number,
  velocity: number,
  random: Random,
): Float64Array {
  const output = new Float64Array(Math.ceil(AUDIBLE_DECAYS * settings.decaySeconds * sampleRateHz));
  const bend = { ratio: settings.bendRatio * velocity * velocity, seconds: settings.bendMs / 1000 };
  addPartials(output, membranePartials(settings, velocity), sampleRateHz, bend);
  addNoiseBands(output, settings.click, sampleRateHz, random);
  return output;
}

/** The modes that a blow of this velocity excites, as partials at rest. */
export function membranePartials(settings: MembraneSettings, velocity: number): Partial[] {
  const contact = contactSeconds(settings.contactMs / 1000, velocity);
  const modes = membraneModes(settings.strikeRadius);
  const power = modes.reduce((sum, mode) => sum + mode.weight * mode.weight, 0);
  return modes.map((mode) => {
    const frequencyHz = settings.fundamentalHz * mode.ratio;
    const loss = settings.lossPerHz * (frequencyHz - settings.fundamentalHz);
    return {
      frequencyHz,
      amplitude: (mode.weight / Math.sqrt(power)) * contactSpectrum(frequencyHz, contact),
      decaySeconds: 1 / (1 / settings.decaySeconds + loss),
    };
  });
}
