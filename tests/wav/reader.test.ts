import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { type ByteSource, bytesSource } from '../../src/wav/byte-io.ts';
import { decodeWav } from '../../src/wav/decode-wav.ts';
import { WavReader } from '../../src/wav/reader.ts';
import { WavError } from '../../src/wav/wav-format.ts';
import { chunk, extensibleFormat, format, fromHex, riff, u32, u64 } from '../support/wav-bytes.ts';

interface Vector {
  hex: string;
  expect: { rate: number; channels: number; bits: number; interleaved_float: number[] };
}
const vectors = JSON.parse(readFileSync(new URL('../vectors/wav_headers.json', import.meta.url), 'utf8')) as {
  files: Record<string, Vector>;
};

const open = (bytes: Uint8Array) => new WavReader(bytesSource(bytes));
const first = (bytes: Uint8Array) => [...decodeWav(bytes).channels[0]];
const interleave = (channels: Float64Array[]) => [...channels[0]].flatMap((_, i) => channels.map((x) => x[i]));
/** Two 16-bit samples, 0.5 and -1, and their "data" chunk. */
const twoSamples = [0x00, 0x40, 0x00, 0x80];
const data = (size?: number) => chunk('data', twoSamples, size);
const fmt = chunk('fmt ', format());

/** The error of opening a file: its position and text. */
function fault(bytes: Uint8Array): string {
  try {
    open(bytes);
  } catch (error) {
    if (error instanceof WavError) return `${error.byteOffset}: ${error.message}`;
    throw error;
  }
  throw new Error('the file was accepted');
}

describe('WavReader: files that other programs decoded', () => {
  // vectors/wav_headers.json: complete files, decoded by ffmpeg 5.1.9. Bit-exact: every value is a dyadic fraction.
  it.each(Object.entries(vectors.files))('decodes %s', (_, { hex, expect: expected }) => {
    const { sampleRateHz, channels, format: found, truncated } = decodeWav(fromHex(hex));
    expect({ sampleRateHz, channels: channels.length, bits: found.bitsPerSample, truncated }).toEqual({
      sampleRateHz: expected.rate,
      channels: expected.channels,
      bits: expected.bits,
      truncated: false,
    });
    expect(interleave(channels)).toEqual(expected.interleaved_float);
  });

  it('saw all five of them', () => {
    expect(Object.keys(vectors.files)).toHaveLength(5);
  });
});

describe('WavReader: formats', () => {
  it('keeps floats above full scale, and 64 bits of them', () => {
    const values = new Uint8Array(new Float64Array([1e10, -Math.PI]).buffer);
    const bytes = riff([chunk('fmt ', format({ tag: 3, bits: 64 })), chunk('data', [...values])]);
    expect(first(bytes)).toEqual([1e10, -Math.PI]);
    expect(open(bytes).format).toEqual({ encoding: 'float', bitsPerSample: 64, validBits: 64 });
  });

  it('decodes 32-bit integers to the last bit', () => {
    const bytes = riff([
      chunk('fmt ', format({ bits: 32 })),
      chunk('data', [...u32(0x7fff_ffff), ...u32(0x8000_0000), ...u32(1)]),
    ]);
    expect(first(bytes)).toEqual([1 - 2 ** -31, -1, 2 ** -31]);
  });

  it('takes 24-bit integers with the plain tag', () => {
    const bytes = riff([chunk('fmt ', format({ bits: 24 })), chunk('data', [1, 0, 0x80, 0xff, 0xff, 0xff])]);
    expect(first(bytes)).toEqual([-1 + 2 ** -23, -(2 ** -23)]);
  });

  it('reads valid bits and channel mask of an extensible header; the samples are left-justified', () => {
    const fields = { channels: 2, bits: 32, validBits: 24, mask: 3 };
    const bytes = riff([
      chunk('fmt ', extensibleFormat(fields)),
      chunk('data', [...u32(0x0000_0100), ...u32(0x4000_0000)]),
    ]);
    expect(open(bytes).format).toEqual({ encoding: 'integer', bitsPerSample: 32, validBits: 24, channelMask: 3 });
    expect(interleave(decodeWav(bytes).channels)).toEqual([2 ** -23, 0.5]);
  });

  it('takes 12-bit integers in the upper part of 16', () => {
    const bytes = riff([chunk('fmt ', format({ bits: 12 })), data()]);
    expect(open(bytes).format).toEqual({ encoding: 'integer', bitsPerSample: 16, validBits: 12 });
    expect(first(bytes)).toEqual([0.5, -1]);
  });

  it('takes valid bits 0 for all of them', () => {
    expect(open(riff([chunk('fmt ', extensibleFormat({ validBits: 0 })), data()])).format.validBits).toBe(16);
  });

  it('reads a float in an extensible header', () => {
    const values = [...new Uint8Array(new Float32Array([0.1, -2]).buffer)];
    const bytes = riff([chunk('fmt ', extensibleFormat({ tag: 3, bits: 32 })), chunk('data', values)]);
    expect(first(bytes)).toEqual([Math.fround(0.1), -2]);
  });
});

describe('WavReader: chunks', () => {
  const expected = [0.5, -1];

  it('skips chunks it does not know, odd ones with their pad', () => {
    const others = [chunk('LIST', [1, 2, 3]), fmt, chunk('bext', [100, 97, 116, 97, 9]), chunk('fact', u32(2))];
    expect(first(riff([...others, data(), chunk('LIST', [1])]))).toEqual(expected);
  });

  it('finds "fmt ", "data", "fact" and "LIST" after an odd chunk without pad', () => {
    const odd = (id: string) => [...chunk(id, [1, 2, 3])].slice(0, -1);
    expect(first(riff([odd('bext'), fmt, odd('cue '), data()]))).toEqual(expected);
    expect(first(riff([fmt, odd('bext'), odd('LIST'), chunk('fact', u32(2)), data()]))).toEqual(expected);
  });

  it('skips a pad byte that is not 0', () => {
    const odd = chunk('bext', [1, 2, 3]);
    odd[odd.length - 1] = 0x64;
    expect(first(riff([fmt, odd, data()]))).toEqual(expected);
  });

  it('ignores bytes after the samples and part of a frame at the end', () => {
    expect(first(Uint8Array.from([...riff([fmt, data()]), 1, 2, 3]))).toEqual(expected);
    expect(first(riff([fmt, chunk('data', [...twoSamples, 9])]))).toEqual(expected);
  });

  it('goes by the "data" chunk where the file states another size', () => {
    for (const riffSize of [0, 20, 0x7fff_ffff, 0xffff_ffff]) {
      expect(first(riff([fmt, data()], 'RIFF', riffSize))).toEqual(expected);
    }
  });
});

describe('WavReader: sizes', () => {
  it('reads to the end of the file where a streaming writer left FFFFFFFFh or 0', () => {
    for (const [riffSize, size] of [
      [0xffff_ffff, 0xffff_ffff],
      [0, 0],
      [36, 0],
      [0xffff_ffff, 0],
    ]) {
      // prettier-ignore
      const { channels, truncated } = decodeWav(riff([fmt, data(size)], 'RIFF', riffSize));
      expect([[...channels[0]], truncated]).toEqual([[0.5, -1], false]);
    }
  });

  it('takes 0 for 0 in a finished file, whatever comes after', () => {
    const bytes = riff([fmt, chunk('data', []), chunk('LIST', [1, 2, 3, 4])]);
    expect(open(bytes).frames).toBe(0);
    expect(open(riff([fmt, chunk('data', [])])).frames).toBe(0);
  });

  it('reads what is there of samples that are cut off, and says so', () => {
    const reader = open(riff([fmt, data(1000)]));
    expect([reader.frames, reader.truncated]).toEqual([2, true]);
    expect(open(riff([fmt, data()]).subarray(0, -1))).toMatchObject({ frames: 1, truncated: true });
    expect(open(riff([fmt, data()]))).toMatchObject({ frames: 2, truncated: false });
  });

  it('takes the sizes of an RF64 file from "ds64", those that fit 32 bits from the chunk', () => {
    const ds64 = (dataSize: number, table: number[] = u32(0)) =>
      chunk('ds64', [...u64(88), ...u64(dataSize), ...u64(0), ...table]);
    const large = 0xffff_ffff;
    for (const id of ['RF64', 'BW64']) {
      expect(open(riff([ds64(2), fmt, data(large)], id, large))).toMatchObject({ frames: 1, truncated: false });
      expect(open(riff([ds64(2), fmt, data(4)], id, large)).frames).toBe(2);
      expect(open(riff([ds64(2 ** 40), fmt, data(large)], id, large))).toMatchObject({ frames: 2, truncated: true });
    }
    const entry = [...u32(2), ...chunk('levl', [], 99), ...u32(0), ...chunk('bext', [], 6), ...u32(0)];
    const bytes = riff([ds64(4, entry), chunk('bext', [1, 2, 3, 4, 5, 6], large), fmt, data(large)], 'RF64', large);
    expect(first(bytes)).toEqual([0.5, -1]);
  });

  it('reads to the end of an RF64 file that was never finished', () => {
    const open64 = chunk('ds64', [...u32(0xffff_ffff), ...u32(0xffff_ffff), ...u32(0xffff_ffff), ...u32(0xffff_ffff), ...u64(0), ...u32(0)]); // prettier-ignore
    const zero64 = chunk('ds64', [...u64(0), ...u64(0), ...u64(0), ...u32(0)]);
    for (const ds64 of [open64, zero64]) {
      const reader = open(riff([ds64, fmt, data(0xffff_ffff)], 'RF64', 0xffff_ffff));
      expect([reader.frames, reader.truncated]).toEqual([2, false]);
    }
  });
});

describe('WavReader: refusals say what, where and what was expected', () => {
  const refused: [string, Uint8Array, string][] = [
    ['an empty file', new Uint8Array(0), '0: WavReader: at byte 0: the file ends here; it must begin with "RIFF"'],
    ['11 bytes', riff([]).subarray(0, 11), 'byte 11: the file ends here'],
    ['another kind', riff([fmt, data()], 'RIFX'), 'byte 0: the file must begin with "RIFF", "RF64" or "BW64", got "RIFX"'], // prettier-ignore
    ['unprintable text', riff([], '\0\x01"~'), '"BW64", got "\\x00\\x01"~"'],
    ['another type', riff([fmt]).map((b, i) => (i === 8 ? 0x41 : b)), '8: WavReader: at byte 8: the file\'s type must be "WAVE", got "AAVE"'], // prettier-ignore
    ['no chunks', riff([]), 'byte 12: the file ends here; there must be a "fmt " chunk'],
    ['no samples', riff([fmt]), 'byte 36: the file ends here; there must be a "data" chunk'],
    ['samples first', riff([data(), fmt]), 'byte 12: the "fmt " chunk must come before "data"'],
    ['two formats', riff([fmt, fmt, data()]), 'byte 36: there must be one "fmt " chunk'],
    ['a cut format', riff([fmt]).subarray(0, 30), 'byte 16: chunk "fmt " must fit the 10 bytes left, its size says 16'],
    ['a huge chunk', riff([chunk('LIST', [], 0xffff_fff0), fmt, data()]), 'byte 16: chunk "LIST" must fit the 36 bytes left, its size says 4294967280'], // prettier-ignore
    ['a short format', riff([chunk('fmt ', format().slice(0, 14)), data()]), 'byte 16: size of the "fmt " chunk must be 16 or more, got 14'], // prettier-ignore
    ['a short extensible format', riff([chunk('fmt ', extensibleFormat({}).slice(0, 38)), data()]), 'byte 16: size of an extensible "fmt " chunk must be 40 or more, got 38'], // prettier-ignore
    ['mu-law', riff([chunk('fmt ', format({ tag: 7, bits: 8 })), data()]), 'byte 20: format tag must be 1 (integer) or 3 (float), got 7'], // prettier-ignore
    ['extensible mu-law', riff([chunk('fmt ', extensibleFormat({ tag: 7 })), data()]), 'byte 44: format tag must be'],
    ['another GUID', riff([chunk('fmt ', extensibleFormat({ guidTail: 'ff'.repeat(14) })), data()]), 'byte 46: format GUID must end in 000000001000800000aa00389b71, got ffff'], // prettier-ignore
    ['no channels', riff([chunk('fmt ', format({ channels: 0 })), data()]), 'byte 22: number of channels must be 1'],
    [
      'rate 0',
      riff([chunk('fmt ', format({ rate: 0 })), data()]),
      'byte 24: sample rate must be 1 to 1536000 Hz, got 0',
    ],
    [
      'an absurd rate',
      riff([chunk('fmt ', format({ rate: 2e9 })), data()]),
      'byte 24: sample rate must be 1 to 1536000',
    ],
    ['0 bits', riff([chunk('fmt ', format({ bits: 0 })), data()]), 'byte 34: bits per sample must be 1 to 32 for integers, got 0'], // prettier-ignore
    [
      '64-bit integers',
      riff([chunk('fmt ', format({ bits: 64 })), data()]),
      'byte 34: bits per sample must be 1 to 32',
    ],
    ['16-bit floats', riff([chunk('fmt ', format({ tag: 3 })), data()]), 'byte 34: bits per sample must be 32 or 64'],
    ['a wrong frame size', riff([chunk('fmt ', format({ channels: 2, bytesPerFrame: 2 })), data()]), 'byte 32: bytes per frame must be 4 (2 channels of 2 bytes), got 2'], // prettier-ignore
    ['too many valid bits', riff([chunk('fmt ', extensibleFormat({ validBits: 17 })), data()]), 'byte 38: valid bits must be at most 16, got 17'], // prettier-ignore
    ['RF64 without ds64', riff([fmt, data()], 'RF64'), 'byte 12: the first chunk must be "ds64", got "fmt "'],
    ['a cut RF64', riff([], 'RF64'), 'byte 12: the file ends here; there must be a "ds64" chunk'],
    [
      'a short ds64',
      riff([chunk('ds64', u64(1)), fmt, data()], 'RF64'),
      'byte 16: size of the "ds64" chunk must be 28 or more, got 8',
    ],
    ['a size above 2^53', riff([chunk('ds64', [...u64(2 ** 60), ...u64(0), ...u64(0), ...u32(0)]), fmt, data()], 'RF64', 0xffff_ffff), 'byte 20: a size must be below 2^53 bytes'], // prettier-ignore
    ['an absurd table', riff([chunk('ds64', [...u64(0), ...u64(0), ...u64(0), ...u32(1e9)]), fmt, data()], 'RF64'), 'byte 44: entries of the "ds64" table must be at most 0 here, got 1000000000'], // prettier-ignore
    ['a table of more entries than its chunk has', riff([chunk('ds64', [...u64(0), ...u64(0), ...u64(0), ...u32(1)]), fmt, data()], 'RF64'), 'byte 44: entries of the "ds64" table must be at most 0 here, got 1'], // prettier-ignore
    ['a table of 65 entries', riff([chunk('ds64', [...u64(0), ...u64(0), ...u64(0), ...u32(65), ...new Array(65 * 12).fill(0)]), fmt, data()], 'RF64'), 'byte 44: entries of the "ds64" table must be at most 64 here, got 65'], // prettier-ignore
    ['a size missing from ds64', riff([chunk('ds64', [...u64(0), ...u64(0), ...u64(0), ...u32(0)]), chunk('LIST', [], 0xffff_ffff), fmt], 'RF64'), 'byte 52: the "ds64" chunk must have the size of "LIST"'], // prettier-ignore
    ['endless chunks', riff(Array.from({ length: 1100 }, () => chunk('JUNK', []))), 'byte 8204: there must be a "data" chunk among the first 1024 chunks'], // prettier-ignore
  ];

  it.each(refused)('%s', (_, bytes, message) => {
    expect(fault(bytes)).toContain(message);
  });
});

describe('WavReader.read', () => {
  const frames = 20_000; // several pieces of scratch
  const value = (frame: number, channel: number) => ((frame * 2 + channel) % 65_536) - 32_768;
  const samples = Array.from({ length: frames * 2 }, (_, i) => value(i >> 1, i & 1));
  const bytes = riff([
    chunk('fmt ', format({ channels: 2 })),
    chunk('data', [...new Uint8Array(Int16Array.from(samples).buffer)]),
  ]);
  /** Frames of two arrays that differ from the file from `start` on. */
  const wrong = (into: readonly (Float32Array | Float64Array)[], start: number, count: number) => {
    let differing = 0;
    for (let i = 0; i < count; i++) {
      for (const c of [0, 1]) if (into[c][i] !== value(start + i, c) / 32_768) differing++;
    }
    return differing;
  };

  it('reads any part, in any order, again and again, into Float32 and Float64', () => {
    const reader = open(bytes);
    for (const [start, count] of [
      [0, 20_000],
      [19_000, 1000],
      [5, 4097],
      [0, 1],
      [8190, 9000],
      [0, 20_000],
    ]) {
      // prettier-ignore
      const wide = [new Float64Array(count), new Float64Array(count)];
      const narrow = [new Float32Array(count), new Float32Array(count)];
      expect([reader.read(start, wide), reader.read(start, narrow)]).toEqual([count, count]);
      expect([wrong(wide, start, count), wrong(narrow, start, count)]).toEqual([0, 0]);
    }
  });

  it('returns fewer frames at the end and leaves the rest of the arrays alone', () => {
    const reader = open(bytes);
    const into = [new Float64Array(10).fill(7), new Float64Array(10).fill(7)];
    expect(reader.read(frames - 4, into)).toBe(4);
    expect(wrong(into, frames - 4, 4)).toBe(0);
    expect([...into[0].subarray(4)]).toEqual(new Array(6).fill(7));
    into[0].fill(7);
    expect([reader.read(frames, into), reader.read(frames + 100, into), into[0][0]]).toEqual([0, 0, 7]);
  });

  it('reads `count` frames where the arrays are longer', () => {
    const into = [new Float64Array(10).fill(7), new Float64Array(10).fill(7)];
    expect(open(bytes).read(3, into, 2)).toBe(2);
    expect([wrong(into, 3, 2), into[0][2], into[1][2]]).toEqual([0, 7, 7]);
  });

  it('refuses what does not fit', () => {
    const reader = open(bytes);
    const into = [new Float64Array(10), new Float64Array(10)];
    expect(() => reader.read(-1, into)).toThrow(new RangeError('WavReader: startFrame must be 0 to 9007199254740991, got -1')); // prettier-ignore
    expect(() => reader.read(0.5, into)).toThrow(
      'WavReader: startFrame must be a whole number from 0 to 9007199254740991, got 0.5',
    );
    expect(() => reader.read(0, [into[0]])).toThrow(new RangeError('WavReader: into must have 2 channels, got 1'));
    expect(() => reader.read(0, [])).toThrow('WavReader: into must have 2 channels, got 0');
    const uneven = [new Float64Array(10), new Float64Array(9)];
    expect(() => reader.read(0, uneven)).toThrow('WavReader: into[1] must have 10 samples or more, got 9');
  });

  it('goes on where a source gives less than it is asked for, and stops where it gives nothing', () => {
    const whole = bytesSource(bytes);
    const slow = { size: whole.size, read: (at: number, into: Uint8Array, n: number) => whole.read(at, into, Math.min(n, 7)) }; // prettier-ignore
    const into = [new Float64Array(3000), new Float64Array(3000)];
    expect(new WavReader(slow).read(11, into)).toBe(3000);
    expect(wrong(into, 11, 3000)).toBe(0);
    const shrinks: ByteSource = {
      size: whole.size,
      read: (at, target, n) => (at > 100 ? 0 : whole.read(at, target, n)),
    };
    expect(() => new WavReader(shrinks).read(1000, into)).toThrow('the source ended at byte 4044 of 80044');
  });

  it('takes a source that always fills the whole array', () => {
    const greedy = { size: bytes.length, read: (at: number, into: Uint8Array) => { into.set(bytes.subarray(at, at + into.length)); return into.length; } }; // prettier-ignore
    const into = [new Float64Array(100), new Float64Array(100)];
    expect(new WavReader(greedy).read(50, into)).toBe(100);
    expect(wrong(into, 50, 100)).toBe(0);
  });

  it('decodes 24-bit stereo far faster than real time', () => {
    const seconds = 30;
    const file = new Uint8Array(44 + seconds * 48_000 * 6);
    file.set(riff([chunk('fmt ', format({ channels: 2, bits: 24 })), chunk('data', [], file.length - 44)]));
    for (let i = 44; i < file.length; i++) file[i] = (i * 167) & 0xff;
    const reader = open(file);
    const into = [new Float64Array(4096), new Float64Array(4096)];
    const begin = performance.now();
    for (let at = 0; at < reader.frames; at += 4096) reader.read(at, into);
    const realTimes = seconds / ((performance.now() - begin) / 1000);
    console.log(`WavReader: 24-bit stereo at ${Math.round(realTimes)} x real time`);
    expect(realTimes).toBeGreaterThan(100);
  });
});
