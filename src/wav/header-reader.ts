/**
 * Finds its way from the first byte of a WAV file to the first sample.
 *
 *     "RIFF" --------------+
 *     "RF64", "BW64"       v
 *        `-> "ds64" -> chunk after chunk: "fmt " is parsed, others are skipped, "data" ends the walk
 *
 * What a damaged or unfinished file gets:
 *
 *   - size of "data" FFFFFFFFh, or 0 where the file goes on beyond the size it states: a writer that could not come
 *     back to its header. The samples reach to the end of the file.
 *   - size of "data" beyond the end of the file: the samples that are there, marked `truncated`.
 *   - part of a frame at the end, bytes after "data": ignored.
 *   - an odd chunk without its pad byte: recognised where "fmt ", "data", "fact" or "LIST" follows.
 *   - anything else wrong before the samples: {@link WavError} with position and expectation.
 *
 * Whatever the header claims, at most {@link MAX_CHUNKS} chunks are looked at and nothing is allocated by its sizes.
 *
 * @module
 */
import { requireInteger } from '../core/check.ts';
import type { ByteSource } from './byte-io.ts';
import { FORMAT_CHUNK_BYTES, type FormatChunk, parseFormatChunk } from './format-chunk.ts';
import { HeaderBytes, quote } from './header-bytes.ts';
import { SIZE_ELSEWHERE, WavError } from './wav-format.ts';

/** What a header says, checked against the size of the file. */
export interface WavHeader extends FormatChunk {
  /** Position of the first sample in the file. */
  readonly dataOffset: number;
  /** Whole frames that are there. */
  readonly frames: number;
  /** The header promises more samples than the file has. */
  readonly truncated: boolean;
}

/** Chunks before "data" that are skipped; real files have fewer than twenty. */
const MAX_CHUNKS = 1024;

/** 64-bit sizes for chunks other than "data"; real files have none or one. */
const MAX_TABLE_ENTRIES = 64;

/** Ids that are looked for right after an odd chunk, where the pad byte should be. */
const IDS_WITHOUT_PAD = ['fmt ', 'data', 'fact', 'LIST'];

/** @throws WavError unless `source` begins with a WAV header that can be understood */
export function readWavHeader(source: ByteSource): WavHeader {
  return new HeaderReader(source).read();
}

class HeaderReader {
  readonly #source: ByteSource;
  readonly #bytes: HeaderBytes;
  /** Size of the file as it states itself, less 8. */
  #riffSize = 0;
  /** Positions and size of the "ds64" chunk's content; 0: there is none. */
  #ds64Offset = 0;
  #ds64Size = 0;

  constructor(source: ByteSource) {
    this.#source = source;
    this.#bytes = new HeaderBytes(source, FORMAT_CHUNK_BYTES);
  }

  read(): WavHeader {
    let offset = this.#readFileHeader();
    let formatChunk: FormatChunk | undefined;
    for (let count = 0; count < MAX_CHUNKS; count++) {
      if (offset + 8 > this.#source.size) {
        const missing = formatChunk ? '"data"' : '"fmt "';
        throw new WavError(Math.min(offset, this.#source.size), `the file ends here; there must be a ${missing} chunk`);
      }
      this.#bytes.load(offset, 8);
      const id = this.#bytes.id(0);
      const statedSize = this.#bytes.u32(4);
      if (id === 'data') {
        if (!formatChunk) throw new WavError(offset, 'the "fmt " chunk must come before "data"');
        return this.#measureData(formatChunk, offset + 8, statedSize);
      }
      const size = this.#requireInside(id, offset, this.#chunkSize(id, offset, statedSize));
      if (id === 'fmt ') {
        if (formatChunk) throw new WavError(offset, 'there must be one "fmt " chunk, this is the second');
        this.#bytes.load(offset + 8, Math.min(size, FORMAT_CHUNK_BYTES));
        formatChunk = parseFormatChunk(this.#bytes.view, offset + 8, size);
      }
      offset = this.#skip(offset + 8 + size, size);
    }
    throw new WavError(offset, `there must be a "data" chunk among the first ${MAX_CHUNKS} chunks`);
  }

  /** Checks the first 12 bytes, and "ds64" where there must be one; returns the position of the first chunk. */
  #readFileHeader(): number {
    const size = this.#source.size;
    requireInteger('WavReader: source.size', size, 0, Number.MAX_SAFE_INTEGER);
    if (size < 12) throw new WavError(size, 'the file ends here; it must begin with "RIFF", a size and "WAVE"');
    this.#bytes.load(0, 12);
    const id = this.#bytes.id(0);
    if (id !== 'RIFF' && id !== 'RF64' && id !== 'BW64') {
      throw new WavError(0, `the file must begin with "RIFF", "RF64" or "BW64", got ${quote(id)}`);
    }
    const type = this.#bytes.id(8);
    if (type !== 'WAVE') throw new WavError(8, `the file's type must be "WAVE", got ${quote(type)}`);
    this.#riffSize = this.#bytes.u32(4);
    if (id !== 'RIFF') this.#readDs64();
    return 12;
  }

  #readDs64(): void {
    if (this.#source.size < 20)
      throw new WavError(this.#source.size, 'the file ends here; there must be a "ds64" chunk');
    this.#bytes.load(12, 8);
    const id = this.#bytes.id(0);
    if (id !== 'ds64') throw new WavError(12, `the first chunk must be "ds64", got ${quote(id)}`);
    const size = this.#requireInside('ds64', 12, this.#bytes.u32(4));
    if (size < 28) throw new WavError(16, `size of the "ds64" chunk must be 28 or more, got ${size}`);
    this.#bytes.load(20, 28);
    const entries = this.#bytes.u32(24);
    if (entries > MAX_TABLE_ENTRIES || entries * 12 > size - 28) {
      const most = Math.min(MAX_TABLE_ENTRIES, Math.floor((size - 28) / 12));
      throw new WavError(44, `entries of the "ds64" table must be at most ${most} here, got ${entries}`);
    }
    this.#ds64Offset = 20;
    this.#ds64Size = 28 + 12 * entries;
    if (this.#riffSize === SIZE_ELSEWHERE) this.#riffSize = this.#bytes.size64(0);
  }

  /** Size of a chunk other than "data". */
  #chunkSize(id: string, offset: number, statedSize: number): number {
    if (statedSize !== SIZE_ELSEWHERE || this.#ds64Offset === 0) return statedSize;
    for (let entry = 28; entry < this.#ds64Size; entry += 12) {
      const entryOffset = this.#ds64Offset + entry;
      this.#bytes.load(entryOffset, 12);
      if (this.#bytes.id(0) === id) return this.#bytes.size64(4);
    }
    throw new WavError(offset + 4, `the "ds64" chunk must have the size of ${quote(id)}, and has not`);
  }

  /** Matches the stated size of "data" with what the file has from `offset` on. */
  #measureData(formatChunk: FormatChunk, offset: number, statedSize: number): WavHeader {
    const available = this.#source.size - offset;
    let size = statedSize;
    if (size === SIZE_ELSEWHERE && this.#ds64Offset > 0) {
      this.#bytes.load(this.#ds64Offset, 28);
      size = this.#bytes.size64(8);
    } else if (size === SIZE_ELSEWHERE) {
      size = Infinity;
    }
    // A finished file may have no samples and still have chunks after them; one byte of tolerance for a missing pad.
    const finished = Math.abs(this.#riffSize + 8 - this.#source.size) <= 1;
    const unknown = size === Infinity || (size === 0 && !finished);
    const bytes = unknown ? available : Math.min(size, available);
    return {
      ...formatChunk,
      dataOffset: offset,
      frames: Math.floor(bytes / formatChunk.bytesPerFrame),
      truncated: !unknown && size > available,
    };
  }

  /** Position of the chunk after one whose content, `size` bytes, ends before `end`. */
  #skip(end: number, size: number): number {
    if (size % 2 === 0) return end;
    if (end + 4 > this.#source.size) return end + 1;
    this.#bytes.load(end, 4);
    return IDS_WITHOUT_PAD.includes(this.#bytes.id(0)) ? end : end + 1;
  }

  #requireInside(id: string, offset: number, size: number): number {
    const available = this.#source.size - offset - 8;
    if (size > available) {
      throw new WavError(offset + 4, `chunk ${quote(id)} must fit the ${available} bytes left, its size says ${size}`);
    }
    return size;
  }
}
