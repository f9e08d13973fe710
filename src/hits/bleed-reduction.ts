/**
 * Bleed reduction: frees the microphones of drums of the rest of the kit, by what all microphones heard.
 *
 *     all microphones --> short-time spectra --> sum of weight x spectrum --> the drum at its microphone
 *
 * The weights are those that `learnBleedFilter` found; microphones without a filter pass as they are, bit for bit. All
 * come one frame late (2048 samples at 48 kHz). With a weight of 1 for the drum's own microphone and 0 for the others, the
 * input comes out again.
 *
 * Source: see `learn-bleed.ts` for the weights, `overlap-add.ts` for the frames.
 *
 * @module
 */
import { copy } from '../core/copy.ts';
import { DelayLine } from '../core/delay-line.ts';
import { BLOCK, scratch } from '../core/pieces.ts';
import type { StreamFormat } from '../core/processor.ts';
import { Shell } from '../core/shell.ts';
import type { BleedFilter } from './learn-bleed.ts';
import { type FrameSpectra, OverlapAdd } from './overlap-add.ts';

/** Takes the bleed out of some channels by means of all. */
export class BleedReduction extends Shell {
  readonly #frames: OverlapAdd;
  readonly #filters: readonly BleedFilter[];
  readonly #freed: Float64Array[];
  readonly #delays: readonly (DelayLine | undefined)[]; // of the channels without a filter
  readonly #size: number;

  /**
   * @param format - a channel for each microphone, in the order in which the filters were learnt
   * @param filters - one or more, for a channel each
   * @throws RangeError if they are for other frames, other microphones, or two of them for one
   */
  constructor(format: StreamFormat, filters: readonly BleedFilter[]) {
    super('BleedReduction', format);
    const { channels } = this.format;
    const first = filters.at(0);
    if (first === undefined) throw new RangeError('BleedReduction: filters must hold at least one filter');
    const values = channels * (first.frameSize / 2 + 1);
    filters.forEach(({ frameSize, target, weights }, f) => {
      const path = `BleedReduction: filters[${f}]`;
      if (frameSize !== first.frameSize || weights.re.length !== values || weights.im.length !== values) {
        throw new RangeError(`${path} must be for ${channels} microphones and frames of ${first.frameSize} samples`);
      }
      if (filters.findIndex((other) => other.target === target) < f) {
        throw new RangeError(`${path}.target must have one filter, got a second for ${target}`);
      }
    });
    this.#filters = filters;
    this.#size = first.frameSize;
    this.#freed = filters.map(() => new Float64Array(BLOCK));
    this.#frames = this.own(
      new OverlapAdd(first.frameSize, channels, filters.length, (input, output) => {
        this.#combine(input, output);
      }),
    );
    this.#delays = scratch(channels).map((_, c) =>
      filters.some(({ target }) => target === c) ? undefined : this.own(new DelayLine(first.frameSize)),
    );
    this.begin(first.frameSize);
  }

  /** The last frame that holds something. */
  override get tailSamples(): number {
    return this.#size;
  }

  protected override advance(x: Float64Array[], count: number): void {
    this.#frames.process(x, this.#freed, count);
    for (let c = 0; c < x.length; c++) {
      const line = this.#delays[c];
      if (!line) continue;
      line.write(x[c], count);
      line.read(x[c], count, this.#size);
    }
    for (let f = 0; f < this.#filters.length; f++) copy(this.#freed[f], 0, x[this.#filters[f].target], 0, count);
  }

  #combine(input: FrameSpectra, output: FrameSpectra): void {
    const count = input.re.length;
    for (let f = 0; f < this.#filters.length; f++) {
      const { re, im } = this.#filters[f].weights,
        outRe = output.re[f],
        outIm = output.im[f];
      outRe.fill(0);
      outIm.fill(0);
      for (let m = 0; m < count; m++) {
        const inRe = input.re[m],
          inIm = input.im[m];
        for (let k = 0, w = m; k < outRe.length; k++, w += count) {
          outRe[k] += re[w] * inRe[k] - im[w] * inIm[k];
          outIm[k] += re[w] * inIm[k] + im[w] * inRe[k];
        }
      }
    }
  }
}
