/**
 * Where WAV bytes come from and go to. A file, a buffer or a network can stand behind these; the reader and the writer
 * know none of them.
 *
 * @module
 */

/** Bytes that can be read from any position, any number of times. */
export interface ByteSource {
  /** Number of bytes. */
  readonly size: number;
  /**
   * Copies up to `length` bytes from position `offset` to the start of `into`; returns how many, 0 at the end only.
   * A source may fill all of `into` and so return more than `length`.
   */
  read(offset: number, into: Uint8Array, length: number): number;
}

/** Bytes that are written one after the other. */
export interface ByteSink {
  /** Appends `bytes`, which the caller uses again afterwards: copy them or be done with them on return. */
  write(bytes: Uint8Array): void;
  /** Overwrites bytes written before, from position `offset`. A pipe has no such method. */
  patch?(offset: number, bytes: Uint8Array): void;
}

/** Bytes in memory as a source; they are not copied. */
export function bytesSource(bytes: Uint8Array): ByteSource {
  return {
    size: bytes.length,
    read(offset, into, length) {
      const count = Math.max(0, Math.min(length, into.length, bytes.length - offset));
      into.set(bytes.subarray(offset, offset + count));
      return count;
    },
  };
}

/** Sink that keeps everything in memory: for small files. */
export class BytesSink implements ByteSink {
  #bytes = new Uint8Array(4096);
  #size = 0;

  write(bytes: Uint8Array): void {
    const end = this.#size + bytes.length;
    if (end > this.#bytes.length) {
      const larger = new Uint8Array(Math.max(end, 2 * this.#bytes.length));
      larger.set(this.#bytes.subarray(0, this.#size));
      this.#bytes = larger;
    }
    this.#bytes.set(bytes, this.#size);
    this.#size = end;
  }

  patch(offset: number, bytes: Uint8Array): void {
    this.#bytes.set(bytes, offset);
  }

  /** A copy of what has been written so far. */
  toBytes(): Uint8Array {
    return this.#bytes.slice(0, this.#size);
  }
}

/**
 * Fills `into` up to `length` from position `offset`, however small the pieces that the source gives.
 *
 * @throws Error if the source ends before: it has become shorter than its `size`.
 */
export function readFully(source: ByteSource, offset: number, into: Uint8Array, length: number): void {
  let done = 0;
  while (done < length) {
    const rest = done === 0 ? into : into.subarray(done, length);
    const count = source.read(offset + done, rest, length - done);
    if (!(count > 0)) throw new Error(`WavReader: the source ended at byte ${offset + done} of ${source.size}`);
    done += count;
  }
}
