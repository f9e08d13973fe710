/**
 * WAV files as sources of samples: each channel can be read by itself, and a file is decoded once for all of them.
 *
 *     file: | block 0 | block 1 | block 2 | ...        the two blocks read last are kept, an even and an odd one
 *
 * @module
 */
import type { Recording } from '../comparison/recording.ts';
import type { SampleSource } from '../core/sample-source.ts';
import type { WavInput } from './wav-files.ts';

const BLOCK_FRAMES = 16_384;

/** What of a file is heard. */
export interface Stretch {
  /** First frame; negative: as much silence before. 0 unless given. */
  readonly start?: number | undefined;
  /** Frame after the last; the end of the file unless given. */
  readonly end?: number | undefined;
  /** Factor of every sample; 1 unless given. */
  readonly gain?: number | undefined;
}

/** A file, or a stretch of it, as a recording. It must stay open. */
export function recordingOfFile(file: WavInput, { start = 0, end = file.frames, gain = 1 }: Stretch = {}): Recording {
  const blocks = [0, 1].map(() => Array.from({ length: file.channels }, () => new Float64Array(BLOCK_FRAMES)));
  const held = [-1, -1];
  const blockAt = (index: number): readonly Float64Array[] => {
    const slot = index % 2;
    if (held[slot] !== index) {
      const got = file.read(
        index * BLOCK_FRAMES,
        blocks[slot],
        Math.min(BLOCK_FRAMES, file.frames - index * BLOCK_FRAMES),
      );
      for (const x of blocks[slot]) x.fill(0, got);
      held[slot] = index;
    }
    return blocks[slot];
  };
  const sourceOf = (c: number): SampleSource => ({
    frames: end - start,
    read: (from, into) => {
      into.fill(0);
      const first = Math.max(from, 0, -start),
        last = Math.min(from + into.length, end - start, file.frames - start);
      for (let at = first; at < last;) {
        const frame = at + start,
          index = Math.floor(frame / BLOCK_FRAMES),
          offset = frame - index * BLOCK_FRAMES,
          count = Math.min(last - at, BLOCK_FRAMES - offset);
        const x = blockAt(index)[c];
        for (let i = 0; i < count; i++) into[at - from + i] = gain * x[offset + i];
        at += count;
      }
    },
  });
  return { sampleRateHz: file.sampleRateHz, channels: Array.from({ length: file.channels }, (_, c) => sourceOf(c)) };
}
