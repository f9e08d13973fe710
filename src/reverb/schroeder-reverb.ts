/**
 * Schroeder reverb: a dense tail behind drums, of known decay at low and high frequencies.
 *
 *                                                               +-> tank 1 -> +-------+ -> first channel
 *     mean of the channels -> pre-delay -> high-pass, low-pass -+-> tank 2 -> | width | -> second channel
 *                                                               +-> ...    -> +-------+ -> ...
 *
 * All tanks hear the same sound, so a drum on one side rings on both; their delays differ, so their tails do. Width w
 * blends every tail t_c with the mean of all,
 *
 *     y_c = s (w t_c + (1 - w) mean),    s = 1 / sqrt(w^2 + (1 - w^2) / channels),
 *
 * where s keeps the power. The wet signal is as loud as the dry one: in power, for white noise that is the same in all
 * channels, before high-pass and low-pass (3 dB less for noise that differs between two channels: their mean is).
 *
 * The decay follows a straight line in dB at every frequency: 60 dB in T(f) seconds, with T(0) and T(sampleRate / 2) as
 * asked, in between
 *
 *     T(f) = -3 tau / lg|G(f)|,    G the loop filter of `absorption.ts`, tau a comb's delay.
 *
 * Source: M. R. Schroeder, "Natural Sounding Artificial Reverberation", JAES 10(3), 1962; J.-M. Jot, A. Chaigne, AES 90th
 * Convention, 1991, preprint 3030. Width, levels and the order of things in front of the tanks are common practice.
 *
 * @module
 */
import { copy } from '../core/copy.ts';
import { Delay } from '../core/delay.ts';
import { DryWet } from '../core/dry-wet.ts';
import { ParameterShell } from '../core/parameter-shell.ts';
import type { ParameterOptions, ParameterTable, ParameterValues } from '../core/parameters.ts';
import { BLOCK } from '../core/pieces.ts';
import type { StreamFormat } from '../core/processor.ts';
import { millisecondsToSamples } from '../core/time.ts';
import { BiquadCascade } from '../filters/biquad-cascade.ts';
import type { BiquadCoefficients } from '../filters/biquad-coefficients.ts';
import { highpass, lowpass } from '../filters/biquad-design.ts';
import { SilenceWatch } from './silence.ts';
import { SchroederTank } from './schroeder-tank.ts';
import { tankDelays } from './tank-delays.ts';

/** Parameters of a {@link SchroederReverb}. */
export const schroederReverbParameters = {
  /** Silence between the dry sound and the beginning of its reverberation, exact to the sample. */
  preDelayMs: { default: 20, min: 0, max: 500, taper: 'square' },
  /** Time in which the lowest frequencies fall by 60 dB. */
  decaySeconds: { default: 1, min: 0.1, max: 20, taper: 'log' },
  /** The same at half the sample rate; frequencies in between lie between the two. */
  decayHighSeconds: { default: 0.5, min: 0.1, max: 20, taper: 'log' },
  /** Combs of each channel: 4, 8 or 12. Each adds 28 echoes per second before the allpasses multiply them, and 0.036
   * resonances per hertz: sums of 1 / delay and of delay. */
  density: { default: 'medium', choices: ['low', 'medium', 'high'], fixed: true },
  /** 0: the same tail in all channels. 100: tails that have nothing in common. */
  widthPercent: { default: 100, min: 0, max: 100 },
  /** Corner of the second-order Butterworth high-pass in front of the tanks: what lies below makes no tail. */
  highpassHz: { default: 150, min: 10, max: 'nyquist', taper: 'log' },
  /** Corner of the second-order Butterworth low-pass in front of the tanks. */
  lowpassHz: { default: 12_000, min: 100, max: 'nyquist', taper: 'log' },
  /** Share of the reverberation in the output; 100 for a send, which adds the dry sound elsewhere. */
  mixPercent: { default: 100, min: 0, max: 100 },
} as const satisfies ParameterTable;

/** Options of {@link SchroederReverb}; {@link schroederReverbParameters} gives defaults, ranges and units. */
export type SchroederReverbOptions = ParameterOptions<typeof schroederReverbParameters>;

type Values = ParameterValues<typeof schroederReverbParameters>;

/**
 * Reverberation with a tank of combs and allpasses for every channel; no latency.
 *
 * @example
 * ```ts
 * import { SchroederReverb } from 'batterhead/reverb';
 *
 * const space = new SchroederReverb({ sampleRateHz: 48000, channels: 2 }, { preDelayMs: 26, decaySeconds: 1.1 });
 * const [left, right] = [new Float32Array(512), new Float32Array(512)];
 * space.process([left, right], [left, right]);
 * console.log(space.tailSamples / 48000 > 1.1); // it rings on
 * ```
 */
export class SchroederReverb extends ParameterShell<typeof schroederReverbParameters> {
  readonly #tanks: readonly SchroederTank[];
  readonly #preDelay: Delay;
  readonly #filters: BiquadCascade;
  readonly #dryWet: DryWet;
  readonly #feed: Float64Array; // what the tanks hear
  readonly #feeds: readonly Float64Array[];
  readonly #side = { end: 0, trusted: true };
  readonly #silence = this.own(new SilenceWatch());

  /** @throws TypeError or RangeError if an option is not as {@link schroederReverbParameters} says. */
  constructor(format: StreamFormat, options: SchroederReverbOptions = {}) {
    super('SchroederReverb', schroederReverbParameters, format, options);
    const { channels, sampleRateHz } = this.format;
    const { density } = this.values;
    const { simd } = format;
    const mono = { channels: 1, sampleRateHz, simd };
    const maximumSamples = millisecondsToSamples(schroederReverbParameters.preDelayMs.max, sampleRateHz);
    this.#preDelay = this.own(new Delay(mono, { delaySamples: this.#preDelaySamples(), maximumSamples }));
    this.#filters = this.own(new BiquadCascade(mono, this.#sections()));
    const delays = Array.from({ length: channels }, (_, c) => tankDelays(density, c, sampleRateHz));
    const memory = simd?.tanks(delays);
    this.workIn(memory?.rows);
    this.#feed = memory?.feed ?? new Float64Array(BLOCK);
    this.#feeds = [this.#feed];
    this.#tanks = delays.map((channel, c) => this.own(new SchroederTank(channel, sampleRateHz, memory?.loops[c])));
    this.#dryWet = this.own(new DryWet(channels, 0));
    this.begin();
  }

  /** Twice the longer decay, and once through all that comes before and after it. */
  override get tailSamples(): number {
    const { decaySeconds, decayHighSeconds } = this.values;
    const decay = Math.ceil(2 * Math.max(decaySeconds, decayHighSeconds) * this.format.sampleRateHz);
    const longest = Math.max(...this.#tanks.map((tank) => tank.tailSamples));
    return this.#preDelay.tailSamples + this.#filters.tailSamples + decay + longest;
  }

  override set(options: SchroederReverbOptions): void {
    const { highpassHz, lowpassHz } = this.values;
    super.set(options);
    this.#silence.restart();
    this.#preDelay.set({ delaySamples: this.#preDelaySamples() });
    if (this.values.highpassHz !== highpassHz || this.values.lowpassHz !== lowpassHz) {
      this.#filters.setSections(this.#sections());
    }
  }

  protected override design(p: Values): readonly number[] {
    const { channels, sampleRateHz } = this.format;
    const width = p.widthPercent / 100;
    const scale = 1 / Math.sqrt(width * width + (1 - width * width) / channels);
    const decadesPerSample = 3 / (Math.max(p.decaySeconds, p.decayHighSeconds) * sampleRateHz);
    const tanks = this.#tanks.flatMap((tank) => tank.design(p.decaySeconds, p.decayHighSeconds));
    return [p.mixPercent / 100, scale * width, scale * (1 - width), decadesPerSample, ...tanks];
  }

  /** Once nothing that a host could hear is left, the tanks are emptied; else they would ring on in denormal numbers. */
  protected override onGrid(): void {
    if (this.#silence.shouldEmpty(this.k, 3)) for (const tank of this.#tanks) tank.reset();
  }

  protected override advance(x: Float64Array[], count: number): void {
    const mixed = this.k[0] !== 1;
    if (mixed) this.#dryWet.keep(x, count);
    this.#reverberate(x, count);
    if (mixed) this.#dryWet.mix(x, count, this.k, 0);
  }

  /** Replaces `x` by its reverberation. */
  #reverberate(x: Float64Array[], count: number): void {
    const feed = this.#feed,
      feeds = this.#feeds,
      side = this.#side,
      tanks = this.#tanks;
    meanOf(x, feed, count);
    side.end = count;
    this.#preDelay.process(feeds, feeds, side);
    this.#filters.process(feeds, feeds, side);

    this.#silence.listen(feeds, count);
    if (this.#silence.empty) {
      for (let c = 0; c < x.length; c++) x[c].fill(0, 0, count);
      return;
    }
    let first = 4;
    for (let c = 0; c < x.length; c++) {
      tanks[c].process(feed, x[c], count, this.k, first);
      first += tanks[c].constants;
    }
    this.#blend(x, count);
  }

  /** Sets the width. */
  #blend(x: readonly Float64Array[], count: number): void {
    const own = this.k[1],
      shared = this.k[2],
      mean = this.#feed;
    if (x.length === 1 || (own === 1 && shared === 0)) return;
    meanOf(x, mean, count);
    for (let c = 0; c < x.length; c++) {
      const y = x[c];
      for (let i = 0; i < count; i++) y[i] = own * y[i] + shared * mean[i];
    }
  }

  #preDelaySamples(): number {
    return millisecondsToSamples(this.values.preDelayMs, this.format.sampleRateHz);
  }

  #sections(): BiquadCoefficients[] {
    const { sampleRateHz } = this.format;
    const { highpassHz, lowpassHz } = this.values;
    return [highpass({ sampleRateHz, frequencyHz: highpassHz }), lowpass({ sampleRateHz, frequencyHz: lowpassHz })];
  }
}

/** Mean of the channels. Of the first two, two samples a turn: an engine looks at an array anew in every turn. */
function meanOf(x: readonly Float64Array[], mean: Float64Array, count: number): void {
  if (x.length === 1) {
    copy(x[0], 0, mean, 0, count);
    return;
  }
  const share = 1 / x.length,
    first = x[0],
    second = x[1];
  let i = 0;
  for (; i < count - 1; i += 2) {
    const early = share * first[i] + share * second[i],
      late = share * first[i + 1] + share * second[i + 1];
    mean[i] = early;
    mean[i + 1] = late;
  }
  if (i < count) mean[i] = share * first[i] + share * second[i];
  for (let c = 2; c < x.length; c++) {
    const y = x[c];
    for (let n = 0; n < count; n++) mean[n] += share * y[n];
  }
}
