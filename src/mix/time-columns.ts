/**
 * Values over time in a bounded number of columns: the lowest and the highest of each column, and the mean of all.
 *
 *     frames of the mix:  0 ........................ N      column of a frame = floor(frame x columns / N)
 *
 * What a picture of that width can show, in memory that does not grow with the length.
 *
 * @module
 */

/** Gathers values. */
export class TimeColumns {
  /** Of each column; Infinity and -Infinity where nothing has come. */
  readonly lowest: Float64Array;
  readonly highest: Float64Array;
  readonly #frames: number;
  #sum = 0;
  #count = 0;

  /** @param frames - of the mix: what lies before 0 or after them does not count */
  constructor(frames: number, columns: number) {
    this.#frames = frames;
    this.lowest = new Float64Array(columns).fill(Infinity);
    this.highest = new Float64Array(columns).fill(-Infinity);
  }

  /** Takes in `values[start .. end)`, of which the first belongs to `frame`. */
  add(values: Float64Array, start: number, end: number, frame: number): void {
    const { lowest, highest } = this;
    const last = Math.min(end, start + this.#frames - frame);
    for (let i = Math.max(start, start - frame); i < last;) {
      const column = Math.floor(((frame + i - start) * lowest.length) / this.#frames);
      const next = Math.ceil(((column + 1) * this.#frames) / lowest.length); // first frame of the next column
      const stop = Math.min(last, start + next - frame);
      let low = lowest[column],
        high = highest[column],
        sum = this.#sum; // in the order of the values, however they come
      this.#count += stop - i;
      for (; i < stop; i++) {
        const value = values[i];
        if (value < low) low = value;
        if (value > high) high = value;
        sum += value;
      }
      lowest[column] = low;
      highest[column] = high;
      this.#sum = sum;
    }
  }

  /** Mean of all values; null if none has come. */
  get mean(): number | null {
    return this.#count === 0 ? null : this.#sum / this.#count;
  }
}
