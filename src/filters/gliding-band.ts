/**
 * Gliding band: one band of the equaliser on its way from where it is to where it shall be.
 *
 *     set by at most an octave, and q by at most a factor of 2:     the band moves
 *
 *       position    log2 frequency, log2 q and gain in dB along a raised cosine of 20 ms
 *       design      every 16 samples, counted from the set
 *       section     its coefficients along straight lines from design to design
 *
 *     set by more:                                                  the new band is cross-faded in over 20 ms
 *
 * Between two stable sections all sections on a straight line are stable. All designs of a glide are made when it is
 * set, so that running it costs no design and no memory. A set during a glide goes on from the place reached; one
 * during a fade waits for its end, and the latest wins.
 *
 * @module
 */
import { glideSamples } from '../core/glide.ts';
import { cos, exp2, log2 } from '../core/maths.ts';
import type { Part } from '../core/processor.ts';
import { type BiquadKernel, writeSections } from './biquad-kernel.ts';
import { designBand, type EqualiserBandValues } from './equaliser-bands.ts';
import { FadingKernel } from './fading-kernel.ts';

const STEP = 16; // samples from design to design
const NONE = 0;
const GLIDE = 1;
const FADE = 2;

/** One band; while `busy`, pieces must be one sample long. */
export class GlidingBand implements Part {
  readonly state: readonly Float64Array[];
  readonly #kernel: FadingKernel;
  readonly #sampleRateHz: number;
  readonly #length: number; // of a glide
  readonly #from = new Float64Array(3); // log2 frequency, log2 q, gain in dB
  readonly #to = new Float64Array(3);
  readonly #start: Float64Array; // coefficients where the glide began
  readonly #designs: Float64Array[]; // at 16, 32, ... samples and at the end of the glide
  readonly #clock = new Float64Array(3); // way under way; samples of it done; way that waits for the end of a fade
  #goal: EqualiserBandValues;

  /** @param sounding - runs what sounds, of as many sections as the band has; becomes a part of this */
  constructor(values: EqualiserBandValues, sounding: BiquadKernel, sampleRateHz: number) {
    this.#kernel = new FadingKernel(sounding, sampleRateHz);
    this.#sampleRateHz = sampleRateHz;
    this.#length = glideSamples(sampleRateHz);
    this.#start = this.#kernel.coefficients.slice();
    this.#designs = Array.from({ length: Math.ceil(this.#length / STEP) }, () => this.#start.slice());
    this.state = [...this.#kernel.state, this.#from, this.#to, this.#start, this.#clock];
    this.#goal = values;
    this.jumpTo(values);
  }

  get busy(): boolean {
    return this.#clock[0] !== NONE;
  }

  /** Coefficients of the band as it was set last. */
  get goal(): Float64Array {
    return this.#designs[this.#designs.length - 1];
  }

  /** Forgets the signal and arrives. */
  reset(): void {
    this.#kernel.reset();
    this.#clock.fill(0);
    this.#kernel.jumpTo(this.goal);
  }

  jumpTo(values: EqualiserBandValues): void {
    this.#goal = values;
    position(values, this.#to);
    this.#design(FADE);
    this.reset();
  }

  /** Sets off to `values`; nothing happens if the band is there or on its way. */
  moveTo(values: EqualiserBandValues): void {
    const { frequencyHz, q, gainDb } = this.#goal;
    if (values.frequencyHz === frequencyHz && values.q === q && values.gainDb === gainDb) return;
    const clock = this.#clock,
      from = this.#from,
      to = this.#to;
    // Where a way waits, it waits at the place where the fade will end: where it begins already.
    const done = clock[2] === NONE ? (clock[0] === GLIDE ? this.#weight(clock[1]) : 1) : 0;
    for (let i = 0; i < 3; i++) from[i] += done * (to[i] - from[i]);
    position(values, to);
    this.#goal = values;
    const way = Math.abs(to[0] - from[0]) > 1 || Math.abs(to[1] - from[1]) > 1 ? FADE : GLIDE;
    this.#design(way);
    if (clock[0] === FADE) clock[2] = way;
    else this.#begin(way);
  }

  /** Called after `state` has been restored: makes again what follows from it. */
  restored(): void {
    this.#design(this.#clock[2] || this.#clock[0] || FADE);
  }

  /** Filters `x[c][0 .. count)` in place. */
  run(x: readonly Float64Array[], count: number): void {
    const clock = this.#clock;
    if (clock[0] === NONE) return this.#kernel.run(x, count);
    const done = ++clock[1];
    if (clock[0] === GLIDE) this.#glide(done);
    this.#kernel.run(x, count);
    if (done < this.#length) return;
    clock[0] = NONE;
    if (clock[2] !== NONE) this.#begin(clock[2]);
  }

  /** As {@link FadingKernel.flush}. */
  flush(): void {
    this.#kernel.flush();
  }

  #begin(way: number): void {
    this.#clock.fill(0);
    this.#clock[0] = way;
    if (way === FADE) this.#kernel.fadeTo(this.goal);
    else this.#start.set(this.#kernel.coefficients);
  }

  /** Coefficients of the sample that is the `done`-th of the glide. */
  #glide(done: number): void {
    const k = this.#kernel.coefficients;
    const step = Math.ceil(done / STEP) - 1;
    const before = step === 0 ? this.#start : this.#designs[step - 1],
      after = this.#designs[step];
    const begin = STEP * step,
      end = Math.min(begin + STEP, this.#length);
    const share = (done - begin) / (end - begin);
    for (let i = 0; i < k.length; i++) k[i] = done === end ? after[i] : before[i] + share * (after[i] - before[i]);
  }

  /** How much of a glide is done after so many samples. */
  #weight(samples: number): number {
    return 0.5 - 0.5 * cos((Math.PI * samples) / this.#length);
  }

  /** Designs the way that is set: all of a glide, or the end alone, which is made of the very values. */
  #design(way: number): void {
    const from = this.#from,
      to = this.#to,
      goal = this.#goal,
      last = this.#designs.length - 1;
    if (way === GLIDE) {
      for (let d = 0; d < last; d++) {
        const weight = this.#weight(STEP * (d + 1));
        const at = (i: number): number => from[i] + weight * (to[i] - from[i]);
        const between = { ...goal, frequencyHz: exp2(at(0)), q: exp2(at(1)), gainDb: at(2) };
        writeSections(this.#designs[d], designBand(between, this.#sampleRateHz));
      }
    }
    writeSections(this.#designs[last], designBand(goal, this.#sampleRateHz));
  }
}

function position({ frequencyHz, q, gainDb }: EqualiserBandValues, place: Float64Array): void {
  place[0] = log2(frequencyHz);
  place[1] = log2(q);
  place[2] = gainDb;
}
