/** Files above 4 GiB, written through a sink that counts and read through a source that makes its bytes up. */
import { describe, expect, it } from 'vitest';
import { wavHeader } from '../../src/wav/header-writer.ts';
import { WavReader } from '../../src/wav/reader.ts';
import { WavWriter } from '../../src/wav/writer.ts';
import { chunk, extensibleFormat, format, riff, u32, u64 } from '../support/wav-bytes.ts';

const sampleRateHz = 48_000;
const gibibyte = 2 ** 30;
const elsewhere = 0xffff_ffff;

describe('WavWriter above 4 GiB', () => {
  it('turns the placeholder into "ds64" when more than 4 GiB have been written', () => {
    // 64-bit floats are the fastest to write: 64 channels, 512 bytes per frame.
    let written = 0;
    let header = new Uint8Array();
    const sink = {
      write: (bytes: Uint8Array) => void (written += bytes.length),
      patch(offset: number, bytes: Uint8Array) {
        expect(offset).toBe(0);
        header = bytes.slice();
      },
    };
    const writer = new WavWriter(sink, { sampleRateHz, channels: 64, encoding: 'float', bitsPerSample: 64 });
    const block = Array.from({ length: 64 }, () => new Float64Array(16_384));
    const frames = 513 * 16_384;
    for (let i = 0; i < 513; i++) writer.write(block);
    expect(writer.close()).toEqual({ frames, clippedSamples: 0, nonFiniteSamples: 0 });
    const dataSize = frames * 512;
    expect(dataSize).toBeGreaterThan(4 * gibibyte);
    expect(written).toBe(header.length + dataSize);
    // Layout of EBU Tech 3306: ds64 holds file size less 8, size of "data", frames, an empty table.
    const ds64 = chunk('ds64', [...u64(written - 8), ...u64(dataSize), ...u64(frames), ...u32(0)]);
    const fmt = chunk('fmt ', extensibleFormat({ tag: 3, channels: 64, bits: 64 }));
    expect(header).toEqual(
      riff([ds64, fmt, chunk('fact', u32(frames)), chunk('data', [], elsewhere)], 'RF64', elsewhere),
    );
  });

  it('stays RIFF up to the largest size that 32 bits hold, FFFFFFFEh, which is even as sizes are', () => {
    const fields = { sampleRateHz, channels: 1, encoding: 'integer', bitsPerSample: 16, channelMask: 4 } as const;
    const headerBytes = wavHeader(fields, 0).length;
    const most = (0xffff_fffe - (headerBytes - 8)) / 2;
    const fmt = chunk('fmt ', format());
    const fits = riff([chunk('JUNK', new Array(28).fill(0)), fmt, chunk('data', [], 2 * most)], 'RIFF', 0xffff_fffe);
    expect(wavHeader(fields, most)).toEqual(fits);
    const ds64 = chunk('ds64', [...u64(2 ** 32), ...u64(2 * most + 2), ...u64(most + 1), ...u32(0)]);
    expect(wavHeader(fields, most + 1)).toEqual(riff([ds64, fmt, chunk('data', [], elsewhere)], 'RF64', elsewhere));
  });

  it('counts the pad byte of an odd file above 4 GiB, and more frames than "fact" can hold', () => {
    const eight = { sampleRateHz, channels: 1, encoding: 'integer', bitsPerSample: 8, channelMask: 4 } as const;
    const header = wavHeader(eight, 5 * gibibyte + 1);
    const view = new DataView(header.buffer);
    expect(view.getBigUint64(20, true)).toBe(BigInt(header.length - 8 + 5 * gibibyte + 2));
    expect(view.getBigUint64(28, true)).toBe(BigInt(5 * gibibyte + 1));
    const float = wavHeader({ ...eight, encoding: 'float', bitsPerSample: 32 }, 2 ** 33);
    expect(new DataView(float.buffer).getUint32(float.length - 12, true)).toBe(elsewhere);
  });
});

describe('WavReader above 4 GiB', () => {
  const frames = 3 * gibibyte; // 16-bit stereo: 12 GiB
  const value = (frame: number, channel: number) => ((frame + channel * 31) % 60_000) - 30_000;

  /** A file of that length whose samples are made when they are read. */
  function source(header: Uint8Array) {
    return {
      size: header.length + frames * 4,
      read(offset: number, into: Uint8Array, length: number): number {
        for (let i = 0; i < length; i++) {
          const at = offset + i - header.length;
          const sample = value(Math.floor(at / 4), Math.floor((at % 4) / 2));
          into[i] = at < 0 ? header[offset + i] : at % 2 === 0 ? sample & 0xff : (sample >> 8) & 0xff;
        }
        return length;
      },
    };
  }

  const fmt = chunk('fmt ', format({ channels: 2 }));
  const headers: [string, Uint8Array][] = [
    ['the header of our writer', wavHeader({ sampleRateHz, channels: 2, encoding: 'integer', bitsPerSample: 16, channelMask: 3 }, frames)], // prettier-ignore
    ['BW64, whose number of frames is a dummy', riff([chunk('ds64', [...u64(frames * 4 + 72), ...u64(frames * 4), ...u64(0), ...u32(0)]), fmt, chunk('data', [], elsewhere)], 'BW64', elsewhere)], // prettier-ignore
    ['a stream of open length', riff([fmt, chunk('data', [], elsewhere)], 'RIFF', elsewhere)],
  ];

  it.each(headers)('reads anywhere in a file with %s', (_, header) => {
    const reader = new WavReader(source(header));
    expect([reader.frames, reader.truncated]).toEqual([frames, false]);
    const into = [new Float64Array(100), new Float64Array(100)];
    for (const start of [0, gibibyte - 50, 2 ** 31 - 7, 2 ** 31 + 7, frames - 60]) {
      const count = reader.read(start, into);
      expect(count).toBe(Math.min(100, frames - start));
      for (const c of [0, 1]) {
        const expected = Array.from({ length: count }, (_, i) => value(start + i, c) / 32_768);
        expect([...into[c].subarray(0, count)]).toEqual(expected);
      }
    }
  });
});
