/**
 * Node link: the page's end of what a node tells, its meters and its errors.
 * @module
 */
import { requireInteger } from '../core/check.ts';
import type { NodeMessage } from './messages.ts';
import { type MeterSettings, SharedMeters } from './meter-layout.ts';

/**
 * How meters are taken: in shared memory where the page is isolated, by messages where it is not.
 *
 * @param everyFrames - frames between two sets of values; no meters if undefined
 * @param length - number of values
 */
export function meterSettings(
  owner: string,
  everyFrames: number | undefined,
  length: number,
): MeterSettings | undefined {
  if (everyFrames === undefined) return undefined;
  requireInteger(`${owner}: meterFrames`, everyFrames, 128, 1 << 20);
  const shared = globalThis.crossOriginIsolated ? new SharedArrayBuffer(SharedMeters.bytes(length)) : undefined;
  return { everyFrames, shared };
}

/** Listens to a node. */
export class NodeLink {
  readonly #values: Float64Array;
  readonly #shared: SharedMeters | undefined;
  #known = false;

  /**
   * @param length - number of meter values
   * @param tell - hears what the audio thread refused, or why it stopped
   */
  constructor(
    node: AudioWorkletNode,
    length: number,
    meters: MeterSettings | undefined,
    tell: (message: string) => void,
  ) {
    this.#values = new Float64Array(length);
    this.#shared = meters?.shared && new SharedMeters(meters.shared);
    node.port.onmessage = ({ data }: MessageEvent<NodeMessage>) => {
      if (data.kind === 'refused') {
        tell(data.message);
        return;
      }
      this.#values.set(data.values);
      this.#known = true;
      node.port.postMessage({ kind: 'meters', values: data.values }, [data.values.buffer]);
    };
    node.onprocessorerror = (event) => tell(`the processor stopped: ${event.message}`);
  }

  /** Newest meter values; undefined before the first. They are written again. */
  read(): Float64Array | undefined {
    if (this.#shared) this.#known = this.#shared.read(this.#values) || this.#known;
    return this.#known ? this.#values : undefined;
  }
}
