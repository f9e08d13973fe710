/**
 * Early reflections: what the walls return of every channel to every channel, once or twice.
 *
 *     y_o[n] = sum over inputs c and reflections r of  gain_r x_c[n - delay_r]
 *
 * Sources stand in the front of the room, one for each channel from left to right, microphones behind them; nothing is
 * in the middle of anything, so that no two ways are alike. Delays are whole samples. The gains are scaled to the energy of
 * the input: white noise that differs between the channels comes out as loud as it went in.
 *
 * @module
 */
import { BLOCK } from '../core/pieces.ts';
import type { Part } from '../core/processor.ts';
import { type Place, type Reflection, type RoomSize, shoeboxReflections } from './shoebox.ts';

const ORDER = 2;

/** Ways with at most two reflections: 6 and 18. */
const REFLECTIONS = 24;

/** Where sources and microphones stand: along the room, across it (middle, and from first to last channel), and how high. */
const SOURCES = { along: 0.27, middle: 0.46, spread: 0.34, up: 0.38 };
const MICROPHONES = { along: 0.71, middle: 0.53, spread: 0.22, up: 0.57 };

/** Taps from every channel to every channel. */
export class EarlyReflections implements Part {
  readonly state: readonly Float64Array[];
  /** How many numbers `design` returns. */
  readonly constants: number;
  /** Longest delay. */
  readonly tailSamples: number;
  readonly #ways: readonly (readonly Reflection[])[]; // from channel c to channel o at c * channels + o
  readonly #delays: readonly Int32Array[];
  readonly #windows: readonly Float64Array[]; // per input: the past, then what has come since it was last moved
  readonly #at = new Float64Array(1); // place of the next sample in the windows

  constructor(room: RoomSize, channels: number, sampleRateHz: number) {
    const places = (row: typeof SOURCES): Place[] =>
      Array.from({ length: channels }, (_, c) => [
        row.along,
        row.middle + row.spread * ((c + 0.5) / channels - 0.5),
        row.up,
      ]);
    this.#ways = places(SOURCES).flatMap((source) =>
      places(MICROPHONES).map((microphone) => shoeboxReflections(room, source, microphone, ORDER)),
    );
    this.#delays = this.#ways.map((ways) => Int32Array.from(ways, ({ seconds }) => Math.round(seconds * sampleRateHz)));
    this.tailSamples = Math.max(...this.#delays.map((delays) => Math.max(...delays)));
    const length = 2 * this.tailSamples + BLOCK;
    this.#windows = Array.from({ length: channels }, () => new Float64Array(length));
    this.state = [...this.#windows, this.#at];
    this.constants = this.#ways.length * REFLECTIONS;
    this.reset();
  }

  reset(): void {
    for (const window of this.#windows) window.fill(0);
    this.#at[0] = this.tailSamples;
  }

  /** Gains of the taps for walls that take a share, 0 to below 1, of the energy. */
  design(absorption: number): number[] {
    const kept = Math.sqrt(1 - absorption);
    const gains = this.#ways.flatMap((ways) =>
      ways.map(({ spread, walls }) => spread * (walls === 1 ? kept : kept * kept)),
    );
    const energy = gains.reduce((sum, gain) => sum + gain * gain, 0) / this.#windows.length;
    return gains.map((gain) => gain / Math.sqrt(energy));
  }

  /** Writes the reflections of `x[c][0 .. count)` to `y[c][0 .. count)`, with gains from index `first` of `k` on. */
  process(x: readonly Float64Array[], y: readonly Float64Array[], count: number, k: Float64Array, first: number): void {
    const windows = this.#windows,
      channels = windows.length,
      past = this.tailSamples;
    let at = this.#at[0] | 0;
    if (at + count > windows[0].length) {
      for (let c = 0; c < channels; c++) windows[c].copyWithin(0, at - past, at);
      at = past;
    }
    for (let c = 0; c < channels; c++) {
      const window = windows[c],
        input = x[c];
      for (let i = 0; i < count; i++) window[at + i] = input[i];
      y[c].fill(0, 0, count);
    }
    for (let c = 0; c < channels; c++) {
      for (let o = 0; o < channels; o++) {
        const way = c * channels + o;
        addTaps(windows[c], at, y[o], count, this.#delays[way], k, first + REFLECTIONS * way);
      }
    }
    this.#at[0] = at + count;
  }
}

/** Four taps in one loop. */
function addTaps(
  window: Float64Array,
  at: number,
  y: Float64Array,
  count: number,
  delays: Int32Array,
  k: Float64Array,
  first: number,
): void {
  for (let r = 0; r < delays.length; r += 4) {
    const a = at - delays[r],
      b = at - delays[r + 1],
      c = at - delays[r + 2],
      d = at - delays[r + 3];
    const gainA = k[first + r],
      gainB = k[first + r + 1],
      gainC = k[first + r + 2],
      gainD = k[first + r + 3];
    for (let i = 0; i < count; i++) {
      y[i] += gainA * window[a + i] + gainB * window[b + i] + (gainC * window[c + i] + gainD * window[d + i]);
    }
  }
}
