/**
 * Strip: a channel, a bus or the mix bus while it runs.
 *
 *     buffers -> block -> block -> ... -> post-chain signal -> paths to its output and its sends
 *                  ^ key taps                                    (fader, pan, width)
 *
 * Automation reaches each block, and the fader, when the sample that it belongs to is there: `sample` of the inputs plus
 * the time at which the block or the fader stands.
 *
 * @module
 */
import type { RunningBlock } from '../blocks/create-block.ts';
import { dbToGain } from '../core/decibels.ts';
import type { Side } from '../core/processor.ts';
import type { HitKeyTap } from './hit-key-tap.ts';
import type { KeyTap } from './key-tap.ts';
import { panMatrix, type PanLaw } from './pan.ts';
import type { Path } from './path.ts';

/** A value due at a sample of the inputs. */
export interface StripEvent {
  readonly sample: number;
  readonly name: string;
  readonly value: number | boolean;
  readonly band: number;
}

/** A block of a strip with what it listens to and what will be set on it. */
export interface StripBlock {
  readonly block: RunningBlock;
  readonly key: KeyTap | HitKeyTap | undefined;
  /** Time at which the block stands, in samples after the inputs. */
  readonly time: number;
  /** In the order of their samples. */
  readonly events: readonly StripEvent[];
}

/** A way out of a strip. */
export interface StripPath {
  readonly path: Path;
  readonly to: readonly Float64Array[];
  /** Which send, or -1 for the output. */
  readonly send: number;
  readonly tap: 'preFader' | 'postFader';
}

/** Levels of a strip's way out; automation changes them. */
export interface Fader {
  gainDb: number;
  pan: number;
  widthPercent: number;
  readonly sendsDb: number[];
}

/** Gains from a strip's channels to left and right for its output (`send` -1) or one of its sends. */
export function pathMatrix(
  channels: number,
  fader: Fader,
  send: number,
  tap: StripPath['tap'],
  law: PanLaw,
): readonly number[] {
  const gain =
    (send < 0 ? 1 : dbToGain(fader.sendsDb[send])) * (send < 0 || tap === 'postFader' ? dbToGain(fader.gainDb) : 1);
  return panMatrix(channels, fader.pan, fader.widthPercent, law).map((share) => gain * share);
}

/** A running strip. */
export class Strip {
  /** The strip's signal: what comes in, and in its place what the chain makes of it. A chunk long. */
  readonly buffers: readonly Float64Array[];
  /** Largest magnitude behind the chain so far. */
  peak = 0;
  readonly #blocks: readonly StripBlock[];
  readonly #paths: readonly StripPath[];
  readonly #fader: Fader;
  readonly #faderTime: number;
  readonly #faderEvents: readonly (StripEvent & { readonly send: number })[];
  readonly #law: PanLaw;
  readonly #next: number[]; // event of each block that is due next; that of the fader last
  readonly #side: Side = { trusted: true };

  constructor(parts: {
    readonly buffers: readonly Float64Array[];
    readonly blocks: readonly StripBlock[];
    readonly paths: readonly StripPath[];
    readonly fader: Fader;
    readonly faderTime: number;
    readonly faderEvents: readonly (StripEvent & { readonly send: number })[];
    readonly law: PanLaw;
  }) {
    this.buffers = parts.buffers;
    this.#blocks = parts.blocks;
    this.#paths = parts.paths;
    this.#fader = parts.fader;
    this.#faderTime = parts.faderTime;
    this.#faderEvents = parts.faderEvents;
    this.#law = parts.law;
    this.#next = new Array<number>(parts.blocks.length + 1).fill(0);
  }

  /** Runs the chain over the first `frames` of the buffers, which stand at `now`, and adds the result to where it goes. */
  run(now: number, frames: number): void {
    for (let b = 0; b < this.#blocks.length; b++) this.#runBlock(b, now, frames);
    for (const x of this.buffers) {
      for (let i = 0; i < frames; i++) if (Math.abs(x[i]) > this.peak) this.peak = Math.abs(x[i]);
    }
    const last = this.#blocks.length;
    this.#between(last, this.#faderEvents, this.#faderTime, now, frames, this.#addPaths, this.#setFader);
  }

  #runBlock(b: number, now: number, frames: number): void {
    const { block, key, time, events } = this.#blocks[b];
    key?.take(frames);
    const x = this.buffers as Float64Array[],
      side = this.#side;
    side.key = key?.buffers;
    this.#between(
      b,
      events,
      time,
      now,
      frames,
      (start, end) => {
        side.start = start;
        side.end = end;
        block.processor.process(x, x, side);
      },
      ({ name, value, band }) => {
        block.set(name, value, band);
      },
    );
  }

  /** Calls `run` for the stretches between the events that fall into this chunk, and `set` for the events. */
  #between<E extends StripEvent>(
    slot: number,
    events: readonly E[],
    time: number,
    now: number,
    frames: number,
    run: (start: number, end: number) => void,
    set: (event: E) => void,
  ): void {
    let start = 0;
    for (let e = this.#next[slot]; e < events.length; e = ++this.#next[slot]) {
      const at = events[e].sample + time - now;
      if (at >= frames) break;
      if (at > start) run(start, at);
      start = at;
      set(events[e]);
    }
    if (start < frames) run(start, frames);
  }

  readonly #addPaths = (start: number, end: number): void => {
    for (const { path, to } of this.#paths) path.add(this.buffers, to, start, end);
  };

  readonly #setFader = ({ name, value, send }: StripEvent & { readonly send: number }): void => {
    const fader = this.#fader,
      amount = value as number;
    if (send >= 0) fader.sendsDb[send] = amount;
    else fader[name as 'gainDb' | 'pan' | 'widthPercent'] = amount;
    for (const { path, send: s, tap } of this.#paths) {
      path.glideTo(pathMatrix(this.buffers.length, fader, s, tap, this.#law));
    }
  };
}
