/**
 * Writes a WAV file of any length, in pieces, with a fixed amount of memory.
 *
 *     one array per channel --interleave--> scale --dither--> round, saturate --encode--> bytes     integers
 *     one array per channel --interleave-------------------------------------encode--> bytes     floats, as they are
 *
 * Pieces are counted in frames from the start of the file, never from a call, and dither is drawn frame by frame,
 * channel by channel: the same samples give the same bytes however they are cut into calls.
 *
 * Dither runs always, through digital silence too: one that stops with the signal is heard as a step in the noise floor
 * (common practice). It is on by default for 8, 16 and 24 bits; at 32 bits the noise would lie near -193 dBFS, below
 * what any converter or Float32 arithmetic resolves.
 *
 * @module
 */
import { requireInteger } from '../core/check.ts';
import type { Channels } from '../core/processor.ts';
import type { ByteSink } from './byte-io.ts';
import { type TriangularDither } from './dither.ts';
import { type HeaderFields, wavHeader } from './header-writer.ts';
import { fullScale, quantise, type SampleEncoder, toSteps } from './sample-codec.ts';
import { PIECE_SAMPLES } from './wav-format.ts';
import { requireEncoder, resolveDither, resolveFields, type WavWriterOptions } from './writer-options.ts';

/** What has been written. */
export interface WavSummary {
  /** Samples per channel. */
  readonly frames: number;
  /** Samples of integer files beyond the largest or smallest integer, written as that one. +1 is one step too much. */
  readonly clippedSamples: number;
  /** Samples of integer files that were infinite or NaN, written as 0. */
  readonly nonFiniteSamples: number;
}

/**
 * A WAV file in the making. Sizes that do not fit 32 bits turn the file into RF64 on {@link WavWriter.close}. Until then, and
 * for ever in a sink that cannot `patch`, the header says "to the end of the file".
 */
export class WavWriter {
  readonly #sink: ByteSink;
  readonly #fields: HeaderFields;
  readonly #encode: SampleEncoder;
  readonly #dither: TriangularDither | undefined;
  /** Full scale of integers; 0 for floats. */
  readonly #scale: number;
  readonly #pieceFrames: number;
  readonly #samples: Float64Array;
  readonly #bytes: Uint8Array;
  readonly #view: DataView;
  /** Frames in `#samples` that are not written yet. */
  #waiting = 0;
  #frames = 0;
  #clippedSamples = 0;
  #nonFiniteSamples = 0;
  #closed = false;

  /**
   * Writes the header to `sink`, which must be empty.
   *
   * @throws TypeError for an unknown option, encoding or a wrong type; RangeError for a value out of range
   */
  constructor(sink: ByteSink, options: WavWriterOptions) {
    const fields = resolveFields(options);
    const { channels, encoding, bitsPerSample } = fields;
    this.#sink = sink;
    this.#fields = fields;
    this.#encode = requireEncoder(encoding, bitsPerSample);
    this.#scale = encoding === 'integer' ? fullScale(bitsPerSample) : 0;
    this.#dither = resolveDither(options, fields);
    this.#pieceFrames = Math.max(1, Math.floor(PIECE_SAMPLES / channels));
    this.#samples = new Float64Array(this.#pieceFrames * channels);
    this.#bytes = new Uint8Array((this.#samples.length * bitsPerSample) / 8);
    this.#view = new DataView(this.#bytes.buffer);
    sink.write(wavHeader(fields));
  }

  /**
   * Appends the samples `start` to `end` (exclusive; all of them unless given) of each channel.
   *
   * @throws RangeError for another number of channels, or a part outside the arrays; Error after `close`
   */
  write(channels: Channels, start = 0, end: number = channels[0]?.length ?? 0): void {
    if (this.#closed) throw new Error('WavWriter: write after close');
    if (channels.length !== this.#fields.channels) {
      throw new RangeError(`WavWriter: channels must have ${this.#fields.channels} channels, got ${channels.length}`);
    }
    let length = Infinity;
    for (let c = 0; c < channels.length; c++) length = Math.min(length, channels[c].length);
    requireInteger('WavWriter: end', end, 0, length);
    requireInteger('WavWriter: start', start, 0, end);
    let at = start;
    while (at < end) {
      const frames = Math.min(end - at, this.#pieceFrames - this.#waiting);
      this.#interleave(channels, at, frames);
      this.#waiting += frames;
      at += frames;
      if (this.#waiting === this.#pieceFrames) this.#flush();
    }
  }

  /** Writes what is left, completes the header if the sink can `patch`. Again: the same summary, nothing done. */
  close(): WavSummary {
    if (!this.#closed) {
      this.#closed = true;
      this.#flush();
      if (this.#sink.patch) this.#complete();
    }
    return {
      frames: this.#frames,
      clippedSamples: this.#clippedSamples,
      nonFiniteSamples: this.#nonFiniteSamples,
    };
  }

  #complete(): void {
    const dataBytes = (this.#frames * this.#fields.channels * this.#fields.bitsPerSample) / 8;
    // Only here: where the header says "to the end of the file", a pad byte could pass for a sample.
    if (dataBytes % 2 === 1) this.#sink.write(new Uint8Array(1));
    this.#sink.patch?.(0, wavHeader(this.#fields, this.#frames));
  }

  #interleave(channels: Channels, start: number, frames: number): void {
    const samples = this.#samples;
    const stride = channels.length;
    for (let c = 0; c < stride; c++) {
      const channel = channels[c];
      for (let i = 0, to = this.#waiting * stride + c; i < frames; i++, to += stride) samples[to] = channel[start + i];
    }
  }

  #flush(): void {
    const samples = this.#samples;
    const count = this.#waiting * this.#fields.channels;
    if (count === 0) return;
    if (this.#scale > 0) {
      this.#nonFiniteSamples += toSteps(samples, count, this.#scale);
      this.#dither?.addTo(samples, count);
      this.#clippedSamples += quantise(samples, count, this.#scale);
    }
    this.#encode(samples, count, this.#view);
    const size = (count * this.#fields.bitsPerSample) / 8;
    this.#sink.write(size === this.#bytes.length ? this.#bytes : this.#bytes.subarray(0, size));
    this.#frames += this.#waiting;
    this.#waiting = 0;
  }
}
