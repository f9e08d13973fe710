/**
 * Strip: a channel, a bus or the mix bus while it runs.
 *
 *     buffers -> block -> block -> ... -> post-chain signal -> paths to its output and its sends
 *                  ^ key taps                                    (fader, pan, width)
 *
 * Automation reaches each block, and the fader, when the sample that it belongs to is there: `sample` of the inputs plus
 * the time at which the block or the fader stands. Nothing is allocated while it runs.
 *
 * @module
 */
import type { RunningBlock } from '../blocks/create-block.ts';
import { dbToGain } from '../core/decibels.ts';
import { BLOCK, cutIntoPieces } from '../core/pieces.ts';
import type { Side } from '../core/processor.ts';
import type { GainTrace } from './gain-trace.ts';
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

/** A value due at the fader, or, if `send` is not -1, at a send. */
export interface FaderEvent extends StripEvent {
  readonly send: number;
}

/** A block of a strip with what it listens to and what will be set on it. */
export interface StripBlock {
  readonly block: RunningBlock;
  readonly key: KeyTap | HitKeyTap | undefined;
  /** Time at which the block stands, in samples after the inputs. */
  readonly time: number;
  /** In the order of their samples. */
  readonly events: readonly StripEvent[];
  /** What gathers the gains of a dynamics block, where somebody wants to know them. */
  gains?: GainTrace;
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
  readonly #pieces: readonly Float64Array[][]; // of the buffers
  readonly #blocks: readonly StripBlock[];
  readonly #paths: readonly StripPath[];
  readonly #fader: Fader;
  readonly #faderTime: number;
  readonly #law: PanLaw;
  readonly #blockQueues: readonly StripEvent[][]; // what is due at each block, the next first
  readonly #faderQueue: FaderEvent[];
  readonly #side: Side = { trusted: true };

  constructor(parts: {
    readonly buffers: readonly Float64Array[];
    readonly blocks: readonly StripBlock[];
    readonly paths: readonly StripPath[];
    readonly fader: Fader;
    readonly faderTime: number;
    readonly faderEvents: readonly FaderEvent[];
    readonly law: PanLaw;
  }) {
    this.buffers = parts.buffers;
    this.#pieces = cutIntoPieces(parts.buffers);
    this.#blocks = parts.blocks;
    this.#paths = parts.paths;
    this.#fader = parts.fader;
    this.#faderTime = parts.faderTime;
    this.#law = parts.law;
    this.#blockQueues = parts.blocks.map(({ events }) => [...events]);
    this.#faderQueue = [...parts.faderEvents];
  }

  /** Notes a value that is due at a block (its position in the chain), behind those due at the same sample. */
  setBlockAt(block: number, event: StripEvent): void {
    insert(this.#blockQueues[block], event);
  }

  /** Notes a value that is due at the fader or a send. */
  setFaderAt(event: FaderEvent): void {
    insert(this.#faderQueue, event);
  }

  /** Runs the chain over the first `frames` of the buffers, which stand at `now`. */
  run(now: number, frames: number): void {
    const buffers = this.buffers;
    for (let b = 0; b < this.#blocks.length; b++) this.#runBlock(b, now, frames);
    for (let c = 0; c < buffers.length; c++) {
      const x = buffers[c];
      let peak = this.peak;
      for (let i = 0; i < frames; i++) peak = Math.max(peak, Math.abs(x[i]));
      this.peak = peak;
    }
  }

  /** Adds what the chain has made of the first `frames` to where it goes. */
  add(now: number, frames: number): void {
    const buffers = this.buffers,
      paths = this.#paths,
      queue = this.#faderQueue,
      sample = now - this.#faderTime;
    for (let start = 0; start < frames;) {
      while (isDue(queue, sample + start)) this.#setFader(queue.shift() as FaderEvent);
      const end = stretchEnd(queue, sample, frames);
      for (let p = 0; p < paths.length; p++) paths[p].path.add(buffers, paths[p].to, start, end);
      start = end;
    }
  }

  #runBlock(b: number, now: number, frames: number): void {
    const { block, key, time, gains } = this.#blocks[b],
      pieces = this.#pieces,
      queue = this.#blockQueues[b],
      sample = now - time,
      side = this.#side;
    key?.take(frames);
    for (let start = 0; start < frames;) {
      while (isDue(queue, sample + start)) {
        const { name, value, band } = queue.shift() as StripEvent;
        block.set(name, value, band);
      }
      const p = Math.floor(start / BLOCK),
        first = BLOCK * p;
      const end = Math.min(first + BLOCK, stretchEnd(queue, sample, frames));
      side.key = key?.pieces[p];
      side.trace = gains?.pieces[p];
      side.start = start - first;
      side.end = end - first;
      block.processor.process(pieces[p], pieces[p], side);
      start = end;
    }
    gains?.take(now, frames);
  }

  #setFader({ name, value, send }: FaderEvent): void {
    const fader = this.#fader,
      amount = value as number;
    if (send >= 0) fader.sendsDb[send] = amount;
    else fader[name as 'gainDb' | 'pan' | 'widthPercent'] = amount;
    for (const { path, send: s, tap } of this.#paths) {
      path.glideTo(pathMatrix(this.buffers.length, fader, s, tap, this.#law));
    }
  }
}

/** Puts an event behind those that are due no later. */
function insert<E extends StripEvent>(queue: E[], event: E): void {
  queue.push(event);
  queue.sort((a, b) => a.sample - b.sample);
}

function isDue(queue: readonly StripEvent[], sample: number): boolean {
  return queue.length > 0 && queue[0].sample <= sample;
}

/** Where, in a chunk of `frames` that begins at `sample`, the next event is due; at most its end. */
function stretchEnd(queue: readonly StripEvent[], sample: number, frames: number): number {
  return queue.length > 0 ? Math.min(frames, queue[0].sample - sample) : frames;
}
