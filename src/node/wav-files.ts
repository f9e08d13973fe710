/**
 * WAV files on disk: a re-readable input, and an output that appears when it is done.
 * @module
 */
import { closeSync, fstatSync, mkdirSync, openSync, readSync, renameSync, writeSync } from 'node:fs';
import { dirname } from 'node:path';
import type { Channels } from '../core/processor.ts';
import { WavReader } from '../wav/reader.ts';
import { type WavSummary, WavWriter } from '../wav/writer.ts';
import type { WavWriterOptions } from '../wav/writer-options.ts';
import { reading, remove, temporaryName, writing } from './files.ts';

/** A WAV file that is open for reading: an input of a mix. */
export class WavInput {
  /** Path of the file. */
  readonly path: string;
  /** Sample rate in hertz. */
  readonly sampleRateHz: number;
  /** Channels, 1 or more. */
  readonly channels: number;
  /** Samples per channel that are there. */
  readonly frames: number;
  /** The header promises more than the file has: `frames` counts what is there. */
  readonly truncated: boolean;
  readonly #file: number;
  readonly #reader: WavReader;

  /** @throws Error, with the path, if there is no such file or it is not a WAV file */
  constructor(path: string) {
    this.path = path;
    this.#file = reading(path, () => openSync(path, 'r'));
    try {
      const file = this.#file;
      this.#reader = new WavReader({
        size: fstatSync(file).size,
        read: (offset, into, length) => readSync(file, into, 0, length, offset),
      });
    } catch (error) {
      closeSync(this.#file);
      throw new Error(`${path}: ${(error as Error).message}`, { cause: error });
    }
    this.sampleRateHz = this.#reader.sampleRateHz;
    this.channels = this.#reader.channels;
    this.frames = this.#reader.frames;
    this.truncated = this.#reader.truncated;
  }

  /** Fills `into` (an array per channel) from frame `start` on; returns how many frames it wrote. */
  read(start: number, into: Channels, count: number): number {
    return this.#reader.read(start, into, count);
  }

  /** Closes the file; what was read stays. */
  close(): void {
    closeSync(this.#file);
  }
}

/** Opens files by the names of their inputs: all of them, or none. @throws Error as {@link WavInput} */
export function openInputs(files: Readonly<Record<string, string>>): Record<string, WavInput> {
  const inputs: Record<string, WavInput> = {};
  try {
    for (const [name, path] of Object.entries(files)) inputs[name] = new WavInput(path);
    return inputs;
  } catch (error) {
    for (const input of Object.values(inputs)) input.close();
    throw error;
  }
}

/** A WAV file being written; it has its name from `finish` on. */
export class WavOutput {
  readonly #path: string;
  readonly #file: number;
  readonly #writer: WavWriter;
  #position = 0;
  #open = true;

  /** Makes the file's folder if need be. @throws TypeError or RangeError for the options, Error if it cannot be made */
  constructor(path: string, options: WavWriterOptions) {
    this.#path = path;
    this.#file = writing(path, () => {
      mkdirSync(dirname(path), { recursive: true });
      return openSync(temporaryName(path), 'w');
    });
    try {
      this.#writer = new WavWriter(
        {
          write: (bytes) => {
            this.#writeAll(bytes, this.#position);
            this.#position += bytes.length;
          },
          patch: (offset, bytes) => {
            this.#writeAll(bytes, offset);
          },
        },
        options,
      );
    } catch (error) {
      this.discard();
      throw error;
    }
  }

  /** Appends frames `start` to `end` of every channel. */
  write(channels: Channels, start?: number, end?: number): void {
    this.#writer.write(channels, start, end);
  }

  /** Completes the file and gives it its name. @throws Error if either fails; `discard` then removes what there is */
  finish(): WavSummary {
    const summary = this.#writer.close();
    writing(this.#path, () => {
      this.#close();
      renameSync(temporaryName(this.#path), this.#path);
    });
    return summary;
  }

  /** Removes what has been written, unless it has its name already. */
  discard(): void {
    this.#close();
    remove(temporaryName(this.#path));
  }

  #close(): void {
    if (!this.#open) return;
    this.#open = false; // first: a descriptor is gone even where closing it fails
    closeSync(this.#file);
  }

  #writeAll(bytes: Uint8Array, position: number): void {
    for (let done = 0; done < bytes.length;) {
      done += writing(this.#path, () => writeSync(this.#file, bytes, done, bytes.length - done, position + done));
    }
  }
}

/** Writes a whole signal as one file. */
export function writeWavFile(
  path: string,
  channels: Channels,
  options: Omit<WavWriterOptions, 'channels'>,
): WavSummary {
  const output = new WavOutput(path, { ...options, channels: channels.length });
  try {
    output.write(channels);
    return output.finish();
  } catch (error) {
    output.discard();
    throw error;
  }
}
