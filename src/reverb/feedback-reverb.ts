/**
 * Feedback reverb: a room by its size, its walls and its decay in octave bands.
 *
 *     input -> pre-delay -> high-pass, low-pass -+-> early reflections -------------> + -> tail control -> output
 *                                                +-> allpasses -> feedback network -> +
 *
 * Every channel stands in a place of its own and comes back to every channel by ways of its own: true stereo. Early
 * reflections and network are each as loud as the input, for white noise that differs between the channels; the share e of
 * the early energy leaves the whole as loud, sqrt(e) early + sqrt(1 - e) late.
 *
 * What it sounds like is a matter of sizes and times, for instance:
 *
 *     live room    8 x 6 x 3.2 m, walls take 20 %, decay 0.7 s, early 40 %
 *     chamber      5 x 4 x 3 m, walls take 5 %, decay 1.6 s, 110 % at 125 Hz falling to 45 % at 8 kHz, early 15 %
 *     plate-like   2 x 1.5 x 1.5 m, decay 2 s, 130 % at 125 Hz falling to 60 % at 8 kHz, early 0 %: dense from the start
 *
 * Decays and rooms of this kind: common practice. Source: J.-M. Jot, A. Chaigne, AES 90th Convention, 1991, preprint
 * 3030; J. A. Moorer, "About This Reverberation Business", Computer Music Journal 3(2), 1979. The parts name theirs.
 *
 * @module
 */
import { refuse } from '../core/check.ts';
import { dbToGain } from '../core/decibels.ts';
import { Delay } from '../core/delay.ts';
import { DryWet } from '../core/dry-wet.ts';
import { ParameterShell } from '../core/parameter-shell.ts';
import type { ParameterOptions, ParameterTable, ParameterValues } from '../core/parameters.ts';
import { BLOCK, scratch } from '../core/pieces.ts';
import type { StreamFormat } from '../core/processor.ts';
import { onePoleCoefficient } from '../core/smoothing.ts';
import { millisecondsToSamples } from '../core/time.ts';
import { BiquadCascade } from '../filters/biquad-cascade.ts';
import type { BiquadCoefficients } from '../filters/biquad-coefficients.ts';
import { highpass, lowpass } from '../filters/biquad-design.ts';
import { Diffuser } from './diffuser.ts';
import { EarlyReflections } from './early-reflections.ts';
import { FeedbackNetwork } from './feedback-network.ts';
import { networkDelays } from './network-delays.ts';
import { SilenceWatch } from './silence.ts';
import { TAIL_ATTACK_MS, TAIL_CONSTANTS, TailControl } from './tail-control.ts';

/** Parameters of a {@link FeedbackReverb}. */
export const feedbackReverbParameters = {
  /** Length of the room. */
  lengthMetres: { default: 6, min: 1, max: 30, fixed: true },
  /** Width of the room. */
  widthMetres: { default: 4.5, min: 1, max: 30, fixed: true },
  /** Height of the room. */
  heightMetres: { default: 3, min: 1, max: 30, fixed: true },
  /** Share of the energy that a wall takes from an early reflection. */
  absorptionPercent: { default: 20, min: 0, max: 99 },
  /** Share of the early reflections in the energy of the reverberation; the rest is the network's. */
  earlyPercent: { default: 25, min: 0, max: 100 },
  /** Silence between the dry sound and the place of the direct sound in the reverberation, exact to the sample. */
  preDelayMs: { default: 20, min: 0, max: 500, taper: 'square' },
  /** Time in which a band of 100 % falls by 60 dB. */
  decaySeconds: { default: 1, min: 0.1, max: 20, taper: 'log' },
  /** Decay at 125 Hz and below, as a share of `decaySeconds`; neighbouring octaves differ by a factor of 2 at most. */
  decay125HzPercent: { default: 110, min: 10, max: 200 },
  /** Decay at 250 Hz. */
  decay250HzPercent: { default: 105, min: 10, max: 200 },
  /** Decay at 500 Hz. */
  decay500HzPercent: { default: 100, min: 10, max: 200 },
  /** Decay at 1 kHz. */
  decay1000HzPercent: { default: 100, min: 10, max: 200 },
  /** Decay at 2 kHz. */
  decay2000HzPercent: { default: 90, min: 10, max: 200 },
  /** Decay at 4 kHz. */
  decay4000HzPercent: { default: 75, min: 10, max: 200 },
  /** Decay at 8 kHz and above. */
  decay8000HzPercent: { default: 60, min: 10, max: 200 },
  /** How far the allpasses smear what enters the network: their gain is 0.7 at 100 %. */
  diffusionPercent: { default: 80, min: 0, max: 100 },
  /** Delay lines of the network: twice as many cost twice as much, and have twice the resonances and echoes. */
  lines: { default: 16, choices: [8, 16], fixed: true },
  /** How far the lines are turned into each other, back and forth: 100 % is a quarter turn. */
  modulationPercent: { default: 20, min: 0, max: 100 },
  /** How often per second. */
  modulationHz: { default: 0.7, min: 0.01, max: 10, taper: 'log' },
  /** Corner of the second-order Butterworth high-pass in front: what lies below makes no reverberation. */
  highpassHz: { default: 150, min: 10, max: 'nyquist', taper: 'log' },
  /** Corner of the second-order Butterworth low-pass in front. */
  lowpassHz: { default: 12_000, min: 100, max: 'nyquist', taper: 'log' },
  /** Whether the dry sound opens the reverberation while it lasts (gate), turns it down (duck), or leaves it free. */
  tail: { default: 'free', choices: ['free', 'gate', 'duck'], fixed: true },
  /** Level of the dry sound from which on it lasts, for gate and duck. */
  tailThresholdDb: { default: -30, min: -120, max: 0 },
  /** How far a closed gate or a duck turns the reverberation down. */
  tailRangeDb: { default: 40, min: 0, max: 120 },
  /** How long the dry sound lasts after it has fallen below the threshold. */
  tailHoldMs: { default: 200, min: 0, max: 4000, taper: 'square' },
  /** Time constant of the gain when the dry sound has ended. */
  tailReleaseMs: { default: 60, min: 1, max: 4000, taper: 'log' },
  /** Share of the reverberation in the output; 100 for a send, which adds the dry sound elsewhere. */
  mixPercent: { default: 100, min: 0, max: 100 },
} as const satisfies ParameterTable;

/** Options of {@link FeedbackReverb}; {@link feedbackReverbParameters} gives defaults, ranges and units. */
export type FeedbackReverbOptions = ParameterOptions<typeof feedbackReverbParameters>;

type Values = ParameterValues<typeof feedbackReverbParameters>;

/** Neighbouring octaves may differ by this factor. */
const STEEPEST = 2;

/** Places among the constants. */
const EARLY_LEVEL = 1;
const LATE_LEVEL = 2;
const DECADES = 3; // per sample
const TAIL = 4;
const DIFFUSER = TAIL + TAIL_CONSTANTS;

/** @throws RangeError if neighbouring octaves differ by more than a factor of 2 */
export function requireSmoothDecay(prefix: string, values: Values): void {
  const names = decayNames();
  names.slice(1).forEach((name, n) => {
    const [low, high] = [values[names[n]], values[name]];
    if (Math.max(low, high) > STEEPEST * Math.min(low, high)) {
      refuse(`${prefix}${name}`, `${low / STEEPEST} to ${STEEPEST * low} beside ${names[n]} ${low}`, high);
    }
  });
}

/**
 * Reverberation of a room: early reflections and a feedback delay network; no latency.
 * @example
 * ```ts
 * import { FeedbackReverb } from 'batterhead/reverb';
 *
 * const room = new FeedbackReverb({ sampleRateHz: 48000, channels: 1 }, { lengthMetres: 7, decaySeconds: 0.6 });
 * room.process([new Float32Array(512)], [new Float32Array(512)]);
 * ```
 */
export class FeedbackReverb extends ParameterShell<typeof feedbackReverbParameters> {
  readonly #preDelay: Delay;
  readonly #filters: BiquadCascade;
  readonly #early: EarlyReflections;
  readonly #diffusers: readonly Diffuser[];
  readonly #network: FeedbackNetwork;
  readonly #control: TailControl;
  readonly #silence = this.own(new SilenceWatch());
  readonly #dryWet: DryWet;
  readonly #late: readonly Float64Array[];
  readonly #wet: readonly Float64Array[];
  readonly #side = { end: 0, trusted: true };
  readonly #longestLine: number;

  /** @throws TypeError or RangeError if an option is not as {@link feedbackReverbParameters} says, or too many channels */
  constructor(format: StreamFormat, options: FeedbackReverbOptions = {}) {
    super('FeedbackReverb', feedbackReverbParameters, format, options);
    const { channels, sampleRateHz } = this.format;
    const { lines, tail } = this.values;
    if (channels > lines) refuse('FeedbackReverb: channels', `1 to ${lines} (lines)`, channels);
    const delays = networkDelays(lines, this.values, sampleRateHz);
    const maximumSamples = millisecondsToSamples(feedbackReverbParameters.preDelayMs.max, sampleRateHz);
    this.#preDelay = this.own(new Delay(this.format, { delaySamples: this.#preDelaySamples(), maximumSamples }));
    this.#filters = this.own(new BiquadCascade(this.format, this.#sections()));
    this.#early = this.own(new EarlyReflections(this.values, channels, sampleRateHz));
    this.#diffusers = Array.from({ length: channels }, (_, c) => this.own(new Diffuser(c, sampleRateHz)));
    this.#network = this.own(new FeedbackNetwork(delays, channels, sampleRateHz));
    this.#control = this.own(new TailControl(tail, BLOCK));
    this.#dryWet = this.own(new DryWet(channels, 0));
    this.#late = scratch(channels);
    this.#wet = scratch(channels);
    this.#longestLine = Math.max(...delays);
    this.begin();
  }

  /** Twice the longest decay, and once through all that comes before it. */
  override get tailSamples(): number {
    const decay = 2 * this.#network.longestDecaySeconds(decaysOf(this.values)) * this.format.sampleRateHz;
    const late = this.#diffusers[0].tailSamples + Math.ceil(decay) + this.#longestLine;
    return this.#preDelay.tailSamples + this.#filters.tailSamples + Math.max(this.#early.tailSamples, late);
  }

  override set(options: FeedbackReverbOptions): void {
    const { highpassHz, lowpassHz } = this.values;
    super.set(options);
    this.#silence.restart();
    this.#preDelay.set({ delaySamples: this.#preDelaySamples() });
    if (this.values.highpassHz !== highpassHz || this.values.lowpassHz !== lowpassHz) {
      this.#filters.setSections(this.#sections());
    }
  }

  protected override requireTogether(values: Values, prefix: string): void {
    requireSmoothDecay(prefix, values);
  }

  protected override design(p: Values): readonly number[] {
    const { sampleRateHz } = this.format;
    const decaysSeconds = decaysOf(p);
    const longest = this.#network.longestDecaySeconds(decaysSeconds);
    const early = p.earlyPercent / 100;
    return [
      p.mixPercent / 100,
      Math.sqrt(early),
      Math.sqrt(1 - early),
      3 / (longest * sampleRateHz),
      dbToGain(p.tailThresholdDb),
      dbToGain(-p.tailRangeDb),
      millisecondsToSamples(p.tailHoldMs, sampleRateHz),
      onePoleCoefficient(TAIL_ATTACK_MS, sampleRateHz),
      onePoleCoefficient(p.tailReleaseMs, sampleRateHz),
      ...this.#diffusers.flatMap((diffuser) => diffuser.design(p.diffusionPercent / 100, Math.min(...decaysSeconds))),
      ...this.#early.design(p.absorptionPercent / 100),
      ...this.#network.design({
        decaysSeconds,
        modulationDepth: p.modulationPercent / 100,
        modulationHz: p.modulationHz,
      }),
    ];
  }

  /** Once nothing that a host could hear is left, the lines are emptied; else they would ring on in denormal numbers. */
  protected override onGrid(): void {
    if (this.#silence.shouldEmpty(this.k, DECADES)) {
      this.#network.reset();
      for (const diffuser of this.#diffusers) diffuser.reset();
    }
    this.#network.onGrid(this.k, this.#networkAt());
  }

  protected override advance(x: Float64Array[], count: number): void {
    const wet = this.#wet,
      side = this.#side,
      k = this.k;
    this.#dryWet.keep(x, count);
    this.#control.listen(x, count, k, TAIL);
    side.end = count;
    this.#preDelay.process(x, x, side);
    this.#filters.process(x, x, side);
    this.#silence.listen(x, count);
    this.#early.process(x, wet, count, k, this.#earlyAt());
    if (this.#silence.empty) {
      this.#network.skip(count);
      for (let c = 0; c < x.length; c++) scaleInto(x[c], wet[c], k[EARLY_LEVEL], count);
    } else {
      this.#reverberate(x, count);
    }
    this.#control.apply(x, count);
    this.#dryWet.mix(x, count, k, 0);
  }

  /** Replaces `x` by the early reflections and what the network makes of it. */
  #reverberate(x: Float64Array[], count: number): void {
    const late = this.#late,
      wet = this.#wet,
      k = this.k;
    for (let c = 0; c < x.length; c++) this.#diffusers[c].process(x[c], count, k, DIFFUSER + c * Diffuser.constants);
    this.#network.process(x, late, count, k, this.#networkAt());
    const earlyLevel = k[EARLY_LEVEL],
      lateLevel = k[LATE_LEVEL];
    for (let c = 0; c < x.length; c++) {
      const y = x[c],
        e = wet[c],
        l = late[c];
      for (let i = 0; i < count; i++) y[i] = earlyLevel * e[i] + lateLevel * l[i];
    }
  }

  #earlyAt(): number {
    return DIFFUSER + this.#diffusers.length * Diffuser.constants;
  }

  #networkAt(): number {
    return this.#earlyAt() + this.#early.constants;
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

/** Names of the decays from 125 Hz to 8 kHz. */
function decayNames() {
  return [
    'decay125HzPercent',
    'decay250HzPercent',
    'decay500HzPercent',
    'decay1000HzPercent',
    'decay2000HzPercent',
    'decay4000HzPercent',
    'decay8000HzPercent',
  ] as const;
}

function decaysOf(values: Values): number[] {
  return decayNames().map((name) => (values.decaySeconds * values[name]) / 100);
}

function scaleInto(y: Float64Array, x: Float64Array, gain: number, count: number): void {
  for (let i = 0; i < count; i++) y[i] = gain * x[i];
}
