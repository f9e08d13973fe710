/**
 * A window of a few bytes on a header.
 *
 * @module
 */
import { type ByteSource, readFully } from './byte-io.ts';
import { SIZE_ELSEWHERE, WavError } from './wav-format.ts';

/** The bytes of a file from some offset on; positions in them are called `at` and count from that offset. */
export class HeaderBytes {
  readonly view: DataView;
  readonly #source: ByteSource;
  readonly #bytes: Uint8Array;
  #offset = 0;

  /** @param capacity - bytes that the window holds */
  constructor(source: ByteSource, capacity: number) {
    this.#source = source;
    this.#bytes = new Uint8Array(capacity);
    this.view = new DataView(this.#bytes.buffer);
  }

  /** Moves the window to `offset` of the file and reads `length` bytes. */
  load(offset: number, length: number): void {
    this.#offset = offset;
    readFully(this.#source, offset, this.#bytes, length);
  }

  /** Four bytes as text. */
  id(at: number): string {
    const bytes = this.#bytes;
    return String.fromCharCode(bytes[at], bytes[at + 1], bytes[at + 2], bytes[at + 3]);
  }

  u32(at: number): number {
    return this.view.getUint32(at, true);
  }

  /**
   * A 64-bit size; all ones stand for "unknown" and become Infinity.
   *
   * @throws WavError for any other size that no file can have
   */
  size64(at: number): number {
    const low = this.u32(at);
    const high = this.u32(at + 4);
    if (low === SIZE_ELSEWHERE && high === SIZE_ELSEWHERE) return Infinity;
    const size = high * 0x1_0000_0000 + low;
    if (size <= Number.MAX_SAFE_INTEGER) return size;
    throw new WavError(this.#offset + at, `a size must be below 2^53 bytes, got ${size}`);
  }
}

/** An id in quotes, with anything unprintable as a hexadecimal escape. */
export function quote(id: string): string {
  let text = '';
  for (const character of id) {
    const code = character.charCodeAt(0);
    text += code >= 0x20 && code < 0x7f ? character : `\\x${code.toString(16).padStart(2, '0')}`;
  }
  return `"${text}"`;
}
