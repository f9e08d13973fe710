/**
 * Reads a WAV file of any length from any position, in pieces, with a fixed amount of memory.
 *
 *     bytes --decode--> interleaved samples --deal out--> one array per channel
 *
 * @module
 */
import { requireInteger } from '../core/check.ts';
import type { Channels } from '../core/processor.ts';
import { type ByteSource, readFully } from './byte-io.ts';
import { readWavHeader } from './header-reader.ts';
import { type SampleDecoder, sampleDecoder } from './sample-codec.ts';
import { PIECE_SAMPLES, type WavFormat } from './wav-format.ts';

/**
 * An open WAV file: 8-, 16-, 24- or 32-bit integers, 32- or 64-bit floats, plain or extensible, RIFF, RF64 or BW64.
 *
 * Integers come out as -1 up to just below 1, floats as they are: above full scale, even infinite or NaN, if the file
 * says so. Bits below `format.validBits` are taken as they stand.
 */
export class WavReader {
  /** Sample rate in hertz. */
  readonly sampleRateHz: number;
  /** Channels, 1 or more. */
  readonly channels: number;
  /** Length in frames (samples per channel): whole frames that are there, whatever the header promises. */
  readonly frames: number;
  /** How the samples are stored. */
  readonly format: WavFormat;
  /** The header promises more than the file has. Never set where the header leaves the length open (streaming). */
  readonly truncated: boolean;
  readonly #source: ByteSource;
  readonly #decode: SampleDecoder;
  readonly #dataOffset: number;
  readonly #bytesPerFrame: number;
  readonly #pieceFrames: number;
  readonly #bytes: Uint8Array;
  readonly #view: DataView;
  readonly #samples: Float64Array;

  /** @throws WavError if the header is broken, cut off or of an unsupported kind: what, at which byte, what instead */
  constructor(source: ByteSource) {
    const header = readWavHeader(source);
    this.#source = source;
    this.sampleRateHz = header.sampleRateHz;
    this.channels = header.channels;
    this.frames = header.frames;
    this.format = header.format;
    this.truncated = header.truncated;
    this.#decode = sampleDecoder(header.format.encoding, header.format.bitsPerSample)!;
    this.#dataOffset = header.dataOffset;
    this.#bytesPerFrame = header.bytesPerFrame;
    this.#pieceFrames = Math.max(1, Math.floor(PIECE_SAMPLES / header.channels));
    this.#bytes = new Uint8Array(this.#pieceFrames * header.bytesPerFrame);
    this.#view = new DataView(this.#bytes.buffer);
    this.#samples = new Float64Array(this.#pieceFrames * header.channels);
  }

  /**
   * Reads frames from `startFrame` on to the start of the arrays `into`, one per channel. Allocates nothing.
   *
   * @param count - frames wanted; the length of the arrays unless given
   * @returns frames read: fewer than wanted at the end of the file, where the rest of the arrays is left alone
   * @throws RangeError if `startFrame` is not a whole number from 0, if `into` has another number of channels, or if
   *   an array is shorter than `count`; Error if the source turns out shorter than it said
   */
  read(startFrame: number, into: Channels, count: number = into[0]?.length ?? 0): number {
    requireInteger('WavReader: startFrame', startFrame, 0, Number.MAX_SAFE_INTEGER);
    requireInteger('WavReader: count', count, 0, Number.MAX_SAFE_INTEGER);
    if (into.length !== this.channels) {
      throw new RangeError(`WavReader: into must have ${this.channels} channels, got ${into.length}`);
    }
    for (let c = 0; c < into.length; c++) {
      if (into[c].length < count) {
        throw new RangeError(`WavReader: into[${c}] must have ${count} samples or more, got ${into[c].length}`);
      }
    }
    const frames = Math.max(0, Math.min(count, this.frames - startFrame));
    for (let done = 0; done < frames; done += this.#pieceFrames) {
      const pieceFrames = Math.min(this.#pieceFrames, frames - done);
      const offset = this.#dataOffset + (startFrame + done) * this.#bytesPerFrame;
      readFully(this.#source, offset, this.#bytes, pieceFrames * this.#bytesPerFrame);
      this.#decode(this.#view, pieceFrames * this.channels, this.#samples);
      this.#dealOut(into, done, pieceFrames);
    }
    return frames;
  }

  #dealOut(into: Channels, at: number, frames: number): void {
    const samples = this.#samples;
    const channels = this.channels;
    for (let c = 0; c < channels; c++) {
      const channel = into[c];
      for (let i = 0, from = c; i < frames; i++, from += channels) channel[at + i] = samples[from];
    }
  }
}
