/**
 * Convolution reverb: the sound of a measured room, from its impulse response.
 *
 *     input -> pre-delay -> the response, in pieces -> gain -> output
 *
 *     zero latency     | 128 taps direct | partitions of 128 ... | partitions of P ...                    |
 *     latency P        | partitions of P ...                                                              |
 *
 * The response has as many channels as the processor (each channel has its own), one (the same for all), or as many as the
 * square of that: true stereo, in the order left to left, left to right, right to left, right to right.
 *
 * With `normalised`, the response is scaled so that white noise, different in every channel, comes out as loud as it went
 * in: the energies of all ways through it, added, are as many as there are channels.
 *
 * Source: W. G. Gardner, "Efficient Convolution without Input-Output Delay", JAES 43(3), 1995.
 *
 * @module
 */
import { refuse, requireRange } from '../core/check.ts';
import { dbToGain } from '../core/decibels.ts';
import { Delay } from '../core/delay.ts';
import { DryWet } from '../core/dry-wet.ts';
import { ParameterShell } from '../core/parameter-shell.ts';
import type { ParameterOptions, ParameterTable, ParameterValues } from '../core/parameters.ts';
import { BLOCK, requireShape, scratch } from '../core/pieces.ts';
import type { Channels, StreamFormat } from '../core/processor.ts';
import { millisecondsToSamples } from '../core/time.ts';
import { resample } from '../filters/resampler.ts';
import { ConvolutionStage, type StageRoute } from './convolution-stage.ts';
import { DirectHead } from './direct-head.ts';

/** Parameters of a {@link ConvolutionReverb}. */
export const convolutionReverbParameters = {
  /** Silence between the dry sound and the beginning of the response, exact to the sample. */
  preDelayMs: { default: 0, min: 0, max: 500, taper: 'square' },
  /** Level of the reverberation. */
  gainDb: { default: 0, min: -60, max: 24 },
  /** Share of the reverberation in the output; 100 for a send, which adds the dry sound elsewhere. */
  mixPercent: { default: 100, min: 0, max: 100 },
  /** Whether the response is scaled so that white noise comes out as loud as it went in; else it is taken as it is. */
  normalised: { default: true, fixed: true },
  /** Whether the response begins at once; else it comes `partitionSamples` late, which is the latency, at less cost. */
  zeroLatency: { default: true, fixed: true },
  /** Length of a partition: the longer, the fewer products per sample and the more memory in use at a time. */
  partitionSamples: { default: 2048, choices: [128, 256, 512, 1024, 2048, 4096, 8192], fixed: true },
} as const satisfies ParameterTable;

/** Options of {@link ConvolutionReverb}; {@link convolutionReverbParameters} gives defaults, ranges and units. */
export type ConvolutionReverbOptions = ParameterOptions<typeof convolutionReverbParameters>;

type Values = ParameterValues<typeof convolutionReverbParameters>;

/** A recorded impulse response. */
export interface ImpulseResponse {
  /** One array per channel, equal lengths, at least one sample. */
  readonly channels: Channels;
  /** Rate of the recording; another than the processor's is converted. */
  readonly sampleRateHz: number;
}

/**
 * Convolution with an impulse response that is given once and for all.
 *
 * @example
 * ```ts
 * import { ConvolutionReverb } from 'batterhead/reverb';
 *
 * const measured = { sampleRateHz: 48000, channels: [Float64Array.of(1, 0, 0.5, 0, 0.25)] };
 * const room = new ConvolutionReverb({ sampleRateHz: 48000, channels: 1 }, { partitionSamples: 128 }, measured);
 * const signal = new Float32Array(512);
 * room.process([signal], [signal]);
 * console.log(room.latencySamples); // 0 unless it was asked for
 * ```
 */
export class ConvolutionReverb extends ParameterShell<typeof convolutionReverbParameters> {
  readonly #preDelay: Delay;
  readonly #dryWet: DryWet;
  readonly #heads: readonly DirectHead[];
  readonly #headRoutes: readonly StageRoute[];
  readonly #stages: readonly ConvolutionStage[];
  readonly #wet: Float64Array[];
  readonly #side = { end: 0, trusted: true };
  readonly #responseSamples: number;

  /**
   * @throws TypeError or RangeError if an option is not as {@link convolutionReverbParameters} says, or the response is
   *   empty, silent, not finite, or has a number of channels that does not fit the format
   */
  constructor(format: StreamFormat, options: ConvolutionReverbOptions, impulse: ImpulseResponse) {
    super('ConvolutionReverb', convolutionReverbParameters, format, options);
    const { channels, sampleRateHz } = this.format;
    const { normalised, zeroLatency, partitionSamples, preDelayMs } = this.values;
    const responses = fittingResponses(impulse, this.format, normalised);
    const ways = responses.map((response, r) => ({ ...wayOf(r, responses.length, channels), response }));
    const routes = responses.length === 1 ? this.#sameForAll(ways[0].response) : ways;
    const length = responses[0].length;
    const stretch = (from: number, to: number): StageRoute[] =>
      routes.map((route) => ({ ...route, response: route.response.subarray(from, to) }));
    const stage = (size: number, from: number, to: number): ConvolutionStage[] =>
      from < length && from < to ? [this.own(new ConvolutionStage(size, channels, channels, stretch(from, to)))] : [];

    const maximumSamples = millisecondsToSamples(convolutionReverbParameters.preDelayMs.max, sampleRateHz);
    const delaySamples = millisecondsToSamples(preDelayMs, sampleRateHz);
    this.#preDelay = this.own(new Delay(this.format, { delaySamples, maximumSamples }));
    const latency = zeroLatency ? 0 : partitionSamples;
    this.#dryWet = this.own(new DryWet(channels, latency));
    this.#wet = scratch(channels);
    this.#responseSamples = length;
    this.#headRoutes = zeroLatency ? stretch(0, BLOCK).map(paddedHead) : [];
    this.#heads = zeroLatency ? this.#wet.map(() => this.own(new DirectHead(BLOCK))) : [];
    this.#stages = zeroLatency
      ? [...stage(BLOCK, BLOCK, partitionSamples), ...stage(partitionSamples, partitionSamples, length)]
      : stage(partitionSamples, 0, length);
    this.begin(latency);
  }

  /** The response and the pre-delay. */
  override get tailSamples(): number {
    return this.#responseSamples - 1 + this.#preDelay.tailSamples;
  }

  override set(options: ConvolutionReverbOptions): void {
    super.set(options);
    this.#preDelay.set({ delaySamples: millisecondsToSamples(this.values.preDelayMs, this.format.sampleRateHz) });
  }

  protected override design({ mixPercent, gainDb }: Values): readonly number[] {
    return [mixPercent / 100, dbToGain(gainDb)];
  }

  protected override advance(x: Float64Array[], count: number): void {
    const wet = this.#wet,
      side = this.#side,
      gain = this.k[1];
    this.#dryWet.keep(x, count);
    side.end = count;
    this.#preDelay.process(x, x, side);
    for (let c = 0; c < x.length; c++) wet[c].fill(0, 0, count);
    this.#convolveHead(x, count);
    for (let s = 0; s < this.#stages.length; s++) this.#stages[s].process(x, wet, count);
    for (let c = 0; c < x.length; c++) {
      const y = x[c],
        w = wet[c];
      for (let i = 0; i < count; i++) y[i] = gain * w[i];
    }
    this.#dryWet.mix(x, count, this.k, 0);
  }

  #convolveHead(x: readonly Float64Array[], count: number): void {
    const heads = this.#heads,
      routes = this.#headRoutes;
    for (let c = 0; c < heads.length; c++) heads[c].take(x[c], count);
    for (let r = 0; r < routes.length; r++) {
      const { from, to, response } = routes[r];
      heads[from].addTo(this.#wet[to], count, response);
    }
    for (let c = 0; c < heads.length; c++) heads[c].moveOn(count);
  }

  #sameForAll(response: Float64Array): StageRoute[] {
    return Array.from({ length: this.format.channels }, (_, c) => ({ from: c, to: c, response }));
  }
}

/** Which way response `r` of `count` goes. */
function wayOf(r: number, count: number, channels: number): { from: number; to: number } {
  return count === channels ? { from: r, to: r } : { from: Math.floor(r / channels), to: r % channels };
}

/** The direct part has 128 taps, however short the response. */
function paddedHead(route: StageRoute): StageRoute {
  const response = new Float64Array(BLOCK);
  response.set(route.response);
  return { ...route, response };
}

/** The responses, at the processor's rate and level. */
function fittingResponses(impulse: ImpulseResponse, format: StreamFormat, normalised: boolean): Float64Array[] {
  const { channels: given, sampleRateHz } = impulse,
    { channels } = format;
  const allowed = [...new Set([1, channels, channels * channels])];
  if (!allowed.includes(given.length)) {
    refuse('ConvolutionReverb: channels of the impulse response', allowed.join(' or '), given.length);
  }
  const length = requireShape('ConvolutionReverb', 'impulse response', given, given.length);
  requireRange('ConvolutionReverb: samples of the impulse response', length, 1, Infinity);
  const responses =
    sampleRateHz === format.sampleRateHz
      ? given.map((h) => Float64Array.from(h))
      : given
          .flatMap((h) => resample([h] as Channels, sampleRateHz, format.sampleRateHz))
          .map((h) => scaled(h, sampleRateHz / format.sampleRateHz));
  const energy = responses.reduce((sum, h) => sum + h.reduce((own, v) => own + v * v, 0), 0);
  const ways = responses.length === 1 ? 1 : channels; // one response is used by every channel
  if (!(energy > 0 && energy < Infinity)) {
    refuse('ConvolutionReverb: energy of the impulse response', 'finite and above 0', energy);
  }
  return normalised ? responses.map((h) => scaled(h, Math.sqrt(ways / energy))) : responses;
}

function scaled(h: Float64Array, gain: number): Float64Array {
  return h.map((v) => gain * v);
}
