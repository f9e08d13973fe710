/**
 * Envelope follower: turns each channel into its own envelope, a linear level.
 *
 *     x -> |x| ----------------------------------+
 *            \-> root of the mean square (rms) --+--> smoothing (attack, release) --> envelope
 *
 * A sine of peak P has the envelope P with the detector `peak`, once the release is long against its period, and
 * P / sqrt 2 with `rms`. In `rms` the mean falls as a power: the level falls 4.34 dB in every `rmsMs`, where an attack or
 * release falls 8.69 dB in its time. With attack and release 0 the envelope is |x| or the rms level itself.
 *
 * The equations and their source are those of the detectors; numbers in brackets below are theirs.
 *
 * @module
 */
import type { ParameterOptions, ParameterTable, ParameterValues } from '../core/parameters.ts';
import type { StreamFormat } from '../core/processor.ts';
import { ParameterShell } from '../core/parameter-shell.ts';
import { onePoleCoefficient } from '../core/smoothing.ts';
import { millisecondsToSamples } from '../core/time.ts';
import {
  analogue,
  branching,
  decoupled,
  type Detector,
  flush,
  magnitudes,
  rootMeanSquare,
  smoothBranching,
  smoothDecoupled,
} from './detector.ts';

/** Parameters of an {@link EnvelopeFollower}. Times are time constants: 63.2 % of the way. */
export const envelopeFollowerParameters = {
  /** What is smoothed: the magnitude, or the root of the mean square, Eqs (9) and (10). */
  detector: { default: 'peak', choices: ['peak', 'rms'], fixed: true },
  /** How it is smoothed: Eq. (12), (14), (15), (16) or (17), in this order. */
  smoothing: {
    default: 'smoothBranching',
    choices: ['analogue', 'decoupled', 'branching', 'smoothBranching', 'smoothDecoupled'],
    fixed: true,
  },
  /** Time constant of rising. */
  attackMs: { default: 1, min: 0, max: 1000, taper: 'square' },
  /** Time constant of falling. */
  releaseMs: { default: 100, min: 0, max: 5000, taper: 'square' },
  /** Time constant of the mean square. */
  rmsMs: { default: 10, min: 0, max: 1000, taper: 'square' },
} as const satisfies ParameterTable;

/** Options of {@link EnvelopeFollower}; {@link envelopeFollowerParameters} gives defaults, ranges and units. */
export type EnvelopeFollowerOptions = ParameterOptions<typeof envelopeFollowerParameters>;

type Values = ParameterValues<typeof envelopeFollowerParameters>;

/** ln 10^6: time constants that a decay to -120 dB takes. */
const DECAY_120_DB = 13.815510557964274;

/**
 * Replaces every channel by its envelope.
 *
 * @example
 * ```ts
 * import { EnvelopeFollower } from 'batterhead/dynamics';
 *
 * const follower = new EnvelopeFollower({ sampleRateHz: 48000, channels: 1 }, { attackMs: 10, releaseMs: 100 });
 * const step = new Float64Array(480).fill(1); // 10 ms
 * follower.process([step], [step]);
 * console.log(step[479].toFixed(3)); // 0.632
 * ```
 */
export class EnvelopeFollower extends ParameterShell<typeof envelopeFollowerParameters> {
  readonly #smooth: Detector;
  readonly #power: readonly Float64Array[];
  readonly #state: readonly Float64Array[];

  /** @throws TypeError or RangeError if an option is not as {@link envelopeFollowerParameters} says. */
  constructor(format: StreamFormat, options: EnvelopeFollowerOptions = {}) {
    super('EnvelopeFollower', envelopeFollowerParameters, format, options);
    const detectors = { analogue, decoupled, branching, smoothBranching, smoothDecoupled };
    this.#smooth = detectors[this.values.smoothing];
    const rows = (length: number) => Array.from({ length: format.channels }, () => this.memory(length));
    this.#power = this.values.detector === 'rms' ? rows(1) : [];
    this.#state = rows(2);
    this.begin();
  }

  /** One stage feeds the next, so their times add; the root halves the speed of the mean square. */
  override get tailSamples(): number {
    const { attackMs, releaseMs, rmsMs } = this.values;
    const average = this.#power.length > 0 ? 2 * rmsMs : 0;
    return millisecondsToSamples(DECAY_120_DB * (attackMs + releaseMs + average), this.format.sampleRateHz);
  }

  protected override design(p: Values): readonly number[] {
    return [p.attackMs, p.releaseMs, p.rmsMs].map((timeMs) => onePoleCoefficient(timeMs, this.format.sampleRateHz));
  }

  protected override onGrid(): void {
    for (let c = 0; c < this.#power.length; c++) flush(this.#power[c]);
    for (let c = 0; c < this.#state.length; c++) flush(this.#state[c]);
  }

  protected override advance(x: Float64Array[], count: number): void {
    for (let c = 0; c < x.length; c++) {
      if (this.#power.length > 0) rootMeanSquare(x[c], count, this.k, 2, this.#power[c]);
      else magnitudes(x[c], x[c], count);
      this.#smooth(x[c], count, this.k, 0, this.#state[c]);
    }
  }
}
