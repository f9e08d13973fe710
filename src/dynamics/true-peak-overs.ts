/**
 * True-peak overs: where the waveform beside a sample is higher than a ceiling.
 *
 *     over[n] = highest point between n - 1 and n + 1, where that is above the ceiling, else 0
 *
 * An interval is known 12 samples after it has begun, so overs come 12 samples late, and the levels of the samples are
 * delayed to match.
 *
 * @module
 */
import { DelayLine } from '../core/delay-line.ts';
import { BLOCK } from '../core/pieces.ts';
import type { Part } from '../core/processor.ts';
import { INTER_SAMPLE_REACH, InterSamplePeaks, type InterSampleTable } from '../filters/inter-sample-peak.ts';

/** Overs of one channel. */
export class TruePeakOvers implements Part {
  /** Overs of the last samples, in place of their levels. */
  readonly levels = new Float64Array(BLOCK);
  /** Levels of samples, to be in time with the overs. */
  readonly line = new DelayLine(INTER_SAMPLE_REACH);
  readonly state: readonly Float64Array[];
  readonly #peaks: InterSamplePeaks;
  readonly #before = new Float64Array(1); // over of the interval before

  constructor(table: InterSampleTable) {
    this.#peaks = new InterSamplePeaks(table);
    this.state = [...this.#peaks.state, ...this.line.state, this.#before];
  }

  reset(): void {
    this.#peaks.reset();
    this.line.reset();
    this.#before.fill(0);
  }

  /** Takes in `x[0 .. count)` and its levels `row`, and fills `levels`. The ceiling is `k[at]`. */
  process(x: Float64Array, row: Float64Array, count: number, k: Float64Array, at: number): void {
    const levels = this.levels,
      ceiling = k[at];
    this.#peaks.process(x, count, k, at, levels);
    this.line.write(row, count);
    let before = this.#before[0];
    for (let i = 0; i < count; i++) {
      const after = levels[i] > ceiling ? levels[i] : 0;
      levels[i] = after > before ? after : before;
      before = after;
    }
    this.#before[0] = before;
  }

  /** Replaces `row[0 .. count)` by the levels taken in 12 samples ago, in time with `levels`. */
  delay(row: Float64Array, count: number): void {
    this.line.read(row, count, INTER_SAMPLE_REACH);
  }
}
