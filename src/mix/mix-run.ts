/**
 * Run of a mix: chunk after chunk of all strips, or of those that one thread has.
 *
 *     for each chunk:  run all strips in their order;  hand left and right of the mix to the sink
 *
 * The latency of the whole is cut from the front. The size of the chunks does not show in the output.
 *
 * @module
 */
import type { GainReport } from './gain-trace.ts';
import { type Mixer, runMixer } from './mixer.ts';

/** Takes what is rendered. */
export interface MixSink {
  /** Takes frames `start` to `end` of left and right. The arrays are used again. */
  write(channels: readonly Float64Array[], start: number, end: number): void;
}

/** What a run has found out about a strip, as far as it ran or was heard here. */
export interface StripFigures {
  /** Largest magnitude behind the chain. */
  readonly peak?: number;
  /** Input samples that counted as 0. */
  readonly nonFinite?: number;
  /** Low end of a reverberation relative to all else at its destination. */
  readonly lowEndDb?: number | null;
  /** What each block of the chain did, where it is a dynamics block that was traced. */
  readonly gains?: readonly (GainReport | undefined)[];
}

/** A mix on its way. */
export class MixRun {
  /** Frames in all, latency included. */
  readonly frames: number;
  /** Chunks in all. */
  readonly chunks: number;
  /** Largest magnitude of left and right so far. */
  peak = 0;
  readonly #mixer: Mixer;
  readonly #chunkFrames: number;
  readonly #sink: MixSink;
  #now = 0;

  /** @param frames - behind the latency */
  constructor(mixer: Mixer, frames: number, chunkFrames: number, sink: MixSink) {
    this.#mixer = mixer;
    this.frames = frames + mixer.latencySamples;
    this.#chunkFrames = chunkFrames;
    this.#sink = sink;
    this.chunks = Math.ceil(this.frames / chunkFrames);
  }

  /** Frames done. */
  get done(): number {
    return this.#now;
  }

  /** Renders the next chunk. Allocates nothing but what the sink does. */
  step(): void {
    const { latencySamples, output } = this.#mixer;
    const count = Math.min(this.#chunkFrames, this.frames - this.#now);
    runMixer(this.#mixer, this.#now, count);
    const start = Math.min(count, Math.max(0, latencySamples - this.#now));
    for (const y of output)
      for (let i = start; i < count; i++) if (Math.abs(y[i]) > this.peak) this.peak = Math.abs(y[i]);
    if (start < count) this.#sink.write(output, start, count);
    this.#now += count;
  }

  /** What is known of the strips, by their paths. */
  get figures(): Readonly<Record<string, StripFigures>> {
    return Object.fromEntries(
      this.#mixer.strips.map(({ path, runs, strip, blocks, reader, lowEnd }): [string, StripFigures] => [
        path,
        {
          ...(runs && {
            peak: strip.peak,
            nonFinite: reader?.nonFinite ?? 0,
            gains: blocks.map(({ gains }) => gains?.report),
          }),
          ...(lowEnd && { lowEndDb: lowEnd.relativeDb }),
        },
      ]),
    );
  }
}
