/**
 * The path from one drum to one microphone: when its sound arrives, and the impulse response.
 *
 *     h(t) = sum over ways w of   side_w  directivity_w  reflection_w / d_w   delta(t - d_w / c) * air(d_w)
 *
 * Pressure falls as 1 / d from its value at 1 m; every way is delayed by its length over the speed of sound, to a
 * fraction of a sample, and filtered by the air that it crosses.
 *
 * @module
 */
import { AIR_REACH, type Air, AirFilter, speedOfSound } from './air.ts';
import type { KitLayout } from './layout.ts';
import { directivity, sideOf } from './microphone.ts';
import type { DrumName, MicrophoneName } from './names.ts';
import { type Way, waysBetween } from './room.ts';
import { delayShape, SincKernel } from './sinc-kernel.ts';

/** Samples before time 0 in every impulse response: what the symmetric kernels need in front of their centre. */
export const PATH_LEAD_SAMPLES = delayShape.halfWidthSamples + AIR_REACH;

/** One drum as one microphone hears it. */
export interface Path {
  /** Way of the direct sound in samples, fractional. */
  readonly delaySamples: number;
  /** Sign of the direct sound. */
  readonly polarity: 1 | -1;
  /** Samples from {@link PATH_LEAD_SAMPLES} before the strike. */
  readonly impulseResponse: Float64Array;
}

/** Builds paths of one layout at one sample rate. */
export class PathBuilder {
  readonly #layout: KitLayout;
  readonly #samplesPerMetre: number;
  readonly #air: AirFilter;
  readonly #kernel = new SincKernel(delayShape);

  constructor(layout: KitLayout, sampleRateHz: number, air: Air) {
    this.#layout = layout;
    this.#samplesPerMetre = sampleRateHz / speedOfSound(air.temperatureC);
    this.#air = new AirFilter(sampleRateHz, air);
  }

  build(drumName: DrumName, microphoneName: MicrophoneName): Path {
    const drum = this.#layout.drums[drumName];
    const microphone = this.#layout.microphones[microphoneName];
    const ways = waysBetween(drum.positionMetres, microphone.positionMetres, this.#layout.room);
    const longest = ways.reduce((metres, way) => Math.max(metres, way.distanceMetres), 0);
    const length = Math.ceil(longest * this.#samplesPerMetre) + 2 * PATH_LEAD_SAMPLES + 1;
    const impulseResponse = new Float64Array(length);
    for (const way of ways) {
      const gain = sideOf(drum, way.departure) * directivity(microphone, way.origin) * way.reflection;
      this.#addWay(impulseResponse, way, gain / way.distanceMetres);
    }
    return {
      delaySamples: ways[0].distanceMetres * this.#samplesPerMetre,
      polarity: sideOf(drum, ways[0].departure),
      impulseResponse,
    };
  }

  #addWay(response: Float64Array, way: Way, gain: number): void {
    if (gain === 0) return;
    const delay = way.distanceMetres * this.#samplesPerMetre;
    const whole = Math.floor(delay);
    const kernel = this.#kernel.around(delay - whole);
    const taps = this.#air.taps(way.distanceMetres);
    // Kernel index 0 is W - 1 samples before the arrival, tap 0 AIR_REACH before: their sum is the lead minus 1.
    const start = whole + 1;
    for (let k = 0; k < taps.length; k++) {
      const weight = gain * taps[k];
      for (let i = 0; i < kernel.length; i++) response[start + k + i] += weight * kernel[i];
    }
  }
}
