/**
 * Processed input: a recording that has passed some processors before anybody reads it.
 *
 *     sources --> processor (latency L1) --> processor (L2) --> frames at the place where they stood
 *
 * What the processors are late is read ahead, so that nothing is late outside. Reading goes forward; the last frames are
 * kept, because a reader may want some of them again. Farther back, all begins anew.
 *
 * @module
 */
import { BLOCK } from '../core/pieces.ts';
import type { Processor } from '../core/processor.ts';
import type { SampleSource } from '../core/sample-source.ts';
import type { MixInput } from './input-reader.ts';

/** A processor of a channel for each source, or of the one channel that is left. */
export interface InputStage {
  readonly processor: Processor;
  /** The channel that goes on. */
  readonly channel: number;
}

/** Frames kept for a second reading; a power of two. */
const KEPT = 1024;

/** One channel, processed. */
export class ProcessedInput implements MixInput {
  readonly sampleRateHz: number;
  readonly channels = 1;
  readonly frames: number;
  readonly #sources: readonly SampleSource[];
  readonly #stages: readonly InputStage[];
  readonly #latency: number;
  readonly #kept = new Float64Array(KEPT);
  #made = 0; // frames so far

  /** @param sources - as many as the first stage has channels; the others have one */
  constructor(sampleRateHz: number, frames: number, sources: readonly SampleSource[], stages: readonly InputStage[]) {
    this.sampleRateHz = sampleRateHz;
    this.frames = frames;
    this.#sources = sources;
    this.#stages = stages;
    this.#latency = stages.reduce((sum, { processor }) => sum + processor.latencySamples, 0);
    this.#begin();
  }

  read(start: number, into: Float64Array[], count: number): number {
    if (start < this.#made - KEPT) this.#begin();
    const there = Math.max(0, Math.min(count, this.frames - start));
    for (let i = 0; i < there; i++) {
      const at = start + i;
      while (this.#made <= at) this.#make();
      into[0][i] = this.#kept[at & (KEPT - 1)];
    }
    return there;
  }

  #begin(): void {
    for (const { processor } of this.#stages) processor.reset();
    this.#made = -this.#latency;
  }

  /** Makes the next piece. */
  #make(): void {
    let x = this.#sources.map((source) => {
      const piece = new Float64Array(BLOCK);
      source.read(this.#made + this.#latency, piece);
      return piece;
    });
    for (const { processor, channel } of this.#stages) {
      processor.process(x, x);
      x = [x[channel]];
    }
    for (let i = 0; i < BLOCK; i++) this.#kept[(this.#made + i) & (KEPT - 1)] = x[0][i];
    this.#made += BLOCK;
  }
}
