/**
 * Noise in bands that decay at their own speed: sticks, snare wires and the wash of cymbals.
 *
 *     white noise -> resonator -> resonator -> x gain (1 - exp(-t / rise)) 10^(-3 t / T60) -> +
 *
 *     resonator:  y[n] = g (x[n] - x[n-2]) + 2 r cos(w) y[n-1] - r^2 y[n-2],    r = exp(-pi B / fs)
 *
 * with g = (1 - r^2) / 2 for a gain of 1 at the centre whatever the width.
 *
 * Source: J. O. Smith, "Introduction to Digital Filters", two-pole filters with zeros at +-1.
 *
 * @module
 */
import { cos, exp } from '../core/maths.ts';
import type { Random } from '../core/random.ts';
import { AUDIBLE_DECAYS, HIGHEST_CYCLES } from './partials.ts';

/** One band of decaying noise. */
export interface NoiseBand {
  readonly centreHz: number;
  readonly widthHz: number;
  readonly amplitude: number;
  /** Time constant of the onset. */
  readonly riseSeconds: number;
  /** Time for 60 dB. */
  readonly decaySeconds: number;
}

/** Adds decaying noise to `output` from its start; bands centred above 20/48 of the sample rate are left out. */
export function addNoiseBands(
  output: Float64Array,
  bands: readonly NoiseBand[],
  sampleRateHz: number,
  random: Random,
): void {
  for (const band of bands) {
    if (band.centreHz >= HIGHEST_CYCLES * sampleRateHz) continue;
    const count = Math.min(output.length, Math.ceil(AUDIBLE_DECAYS * band.decaySeconds * sampleRateHz));
    const noise = bandNoise(count, band.centreHz, band.widthHz, sampleRateHz, random);
    const fade = exp((-3 * Math.LN10) / (band.decaySeconds * sampleRateHz));
    const rise = band.riseSeconds > 0 ? exp(-1 / (band.riseSeconds * sampleRateHz)) : 0;
    let level = band.amplitude;
    let missing = 1; // what the onset has not reached yet
    for (let i = 0; i < count; i++) {
      output[i] += level * (1 - missing) * noise[i];
      level *= fade;
      missing *= rise;
    }
  }
}

/** Noise of standard deviation near 1 around one frequency. */
export function bandNoise(
  count: number,
  centreHz: number,
  widthHz: number,
  sampleRateHz: number,
  random: Random,
): Float64Array {
  const radius = exp((-Math.PI * widthHz) / sampleRateHz);
  const forward = (1 - radius * radius) / 2;
  const near = 2 * radius * cos((2 * Math.PI * centreHz) / sampleRateHz);
  const far = radius * radius;
  // Two equal resonators pass pi/4 of the width of one, which is pi/2 B: density 2 / fs times that is the power.
  const scale = Math.sqrt((3 * sampleRateHz * 4) / (Math.PI * Math.PI * widthHz));
  const samples = new Float64Array(count);
  let x1 = 0, x2 = 0, y1 = 0, y2 = 0, z1 = 0, z2 = 0; // prettier-ignore
  for (let i = 0; i < count; i++) {
    const x = 2 * random.next() - 1; // variance 1/3
    const y = forward * (x - x2) + near * y1 - far * y2;
    const z = forward * (y - y2) + near * z1 - far * z2;
    x2 = x1;
    x1 = x;
    y2 = y1;
    y1 = y;
    z2 = z1;
    z1 = z;
    samples[i] = scale * z;
  }
  return samples;
}
