/**
 * Meter sink: hands meter values to the page every so often, without making garbage.
 *
 *     audio thread -- values --> page            by message: the page sends the buffer back to be filled again
 *     audio thread -- values --> shared memory <-- page
 *
 * @module
 */
import { refuse, requireInteger } from '../core/check.ts';
import { requireObject } from '../core/json-check.ts';
import type { NodeMessage } from './messages.ts';
import { clearMeters, type MeterSettings, SharedMeters } from './meter-layout.ts';

/** Meter values that may be on their way to the page at once. */
const MESSAGES_UNDERWAY = 2;

/** The way of meter values to the page. */
export class MeterSink {
  readonly #every: number;
  readonly #values: Float64Array;
  readonly #head: number;
  readonly #port: MessagePort;
  readonly #shared: SharedMeters | undefined;
  readonly #free: Float64Array[] = [];
  #frames = 0;

  /** @param head - index of the first value of a block in `values` */
  constructor(settings: MeterSettings, values: Float64Array, head: number, port: MessagePort) {
    requireObject('meters', settings);
    const { everyFrames, shared } = settings;
    this.#every = requireInteger('meters.everyFrames', everyFrames, 1, Number.MAX_SAFE_INTEGER);
    if (
      shared !== undefined &&
      !(shared instanceof SharedArrayBuffer && shared.byteLength === SharedMeters.bytes(values.length))
    )
      refuse('meters.shared', 'memory for the values', shared, TypeError);
    this.#values = values;
    this.#head = head;
    this.#port = port;
    this.#shared = shared && new SharedMeters(shared);
    for (let i = 0; i < MESSAGES_UNDERWAY; i++) this.#free.push(new Float64Array(values.length));
  }

  /** @throws TypeError for what is no buffer of the values */
  takeBack(values: Float64Array): void {
    if (!(values instanceof Float64Array && values.length === this.#values.length))
      refuse('values', 'a buffer of the meters', values, TypeError);
    if (this.#free.length < MESSAGES_UNDERWAY) this.#free.push(values);
  }

  /** Notes that so many frames have passed. Values that cannot go yet go on gathering. */
  put(frames: number): void {
    this.#frames += frames;
    if (this.#frames < this.#every) return;
    if (this.#shared) this.#shared.write(this.#values);
    else {
      const values = this.#free.pop();
      if (!values) return;
      values.set(this.#values);
      this.#port.postMessage({ kind: 'meters', values } satisfies NodeMessage, [values.buffer]);
    }
    this.#frames = 0;
    clearMeters(this.#values, this.#head);
  }
}
