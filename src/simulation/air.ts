/**
 * Sound in air: its speed, and what the way takes from the high end.
 *
 * Speed in dry air at T degrees Celsius:  c = 331.3 sqrt(1 + T / 273.15) m/s  (ideal gas).
 *
 * Loss by ISO 9613-1:1993, Eqs. (3)-(5), in dB per metre at frequency f, with absolute temperature K,
 * h the molar concentration of water vapour in percent, at one atmosphere:
 *
 *     loss = 8.686 f^2 (1.84e-11 (K/293.15)^(1/2) + (K/293.15)^(-5/2) (
 *              0.01275 exp(-2239.1/K) / (fO + f^2/fO)  +  0.1068 exp(-3352/K) / (fN + f^2/fN) ))
 *
 * where fO and fN are the relaxation frequencies of oxygen and nitrogen. The equations are quoted from memory;
 * the test holds them against Table 2 of ISO 9613-2:1996.
 *
 * The filter for a way is a short symmetric one (linear phase), so that it does not move the arrival in time.
 *
 * @module
 */
import { cos, exp, pow } from '../core/maths.ts';

/** Weather of the room. */
export interface Air {
  /** Degrees Celsius. */
  readonly temperatureC: number;
  /** Relative humidity in percent. */
  readonly humidityPercent: number;
}

/** 20 / ln 10. */
const DECIBELS_PER_NEPER = 20 / Math.LN10;

/** Speed of sound in metres per second. */
export function speedOfSound(temperatureC: number): number {
  return 331.3 * Math.sqrt(1 + temperatureC / 273.15);
}

/** Loss at a frequency, dB per metre, by ISO 9613-1 at 101.325 kPa. */
export function airLossDbPerMetre(frequencyHz: number, air: Air): number {
  const kelvin = air.temperatureC + 273.15;
  const relative = kelvin / 293.15;
  // Saturation pressure over the reference pressure: Eq. (B.3), triple point of water 273.16 K.
  const saturation = pow(10, -6.8346 * pow(273.16 / kelvin, 1.261) + 4.6151);
  const vapour = air.humidityPercent * saturation;
  const oxygenHz = 24 + (4.04e4 * vapour * (0.02 + vapour)) / (0.391 + vapour);
  const nitrogenHz = (9 + 280 * vapour * exp(-4.17 * (pow(relative, -1 / 3) - 1))) / Math.sqrt(relative);
  const square = frequencyHz * frequencyHz;
  const relaxation =
    (0.01275 * exp(-2239.1 / kelvin)) / (oxygenHz + square / oxygenHz) +
    (0.1068 * exp(-3352 / kelvin)) / (nitrogenHz + square / nitrogenHz);
  return DECIBELS_PER_NEPER * square * (1.84e-11 * Math.sqrt(relative) + pow(relative, -2.5) * relaxation);
}

/** Taps of the filter for a way through air: symmetric around index {@link AIR_REACH}. */
export const AIR_REACH = 16;

/** Filters for ways of any length in one room at one sample rate. */
export class AirFilter {
  readonly #lossDbPerMetre = new Float64Array(AIR_REACH + 1);
  readonly #cosines = new Float64Array(2 * AIR_REACH + 1);

  constructor(sampleRateHz: number, air: Air) {
    const points = 2 * AIR_REACH + 1;
    for (let i = 0; i <= AIR_REACH; i++) this.#lossDbPerMetre[i] = airLossDbPerMetre((i * sampleRateHz) / points, air);
    for (let i = 0; i < points; i++) this.#cosines[i] = cos((2 * Math.PI * i) / points);
  }

  /** The filter whose response meets the loss over `distanceMetres` at 2 AIR_REACH + 1 points around the circle. */
  taps(distanceMetres: number): Float64Array {
    const points = 2 * AIR_REACH + 1;
    const gains = this.#lossDbPerMetre.map((loss) => exp((-loss * distanceMetres) / DECIBELS_PER_NEPER));
    const taps = new Float64Array(points);
    for (let k = 0; k <= AIR_REACH; k++) {
      let sum = gains[0];
      for (let i = 1; i <= AIR_REACH; i++) sum += 2 * gains[i] * this.#cosines[(i * k) % points];
      taps[AIR_REACH + k] = taps[AIR_REACH - k] = sum / points;
    }
    return taps;
  }
}
