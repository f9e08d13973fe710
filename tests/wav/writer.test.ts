import fc from 'fast-check';
import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { BytesSink } from '../../src/wav/byte-io.ts';
import { decodeWav } from '../../src/wav/decode-wav.ts';
import { encodeWav } from '../../src/wav/encode-wav.ts';
import { WavWriter } from '../../src/wav/writer.ts';
import type { WavWriterOptions } from '../../src/wav/writer-options.ts';
import { chunk, extensibleFormat, format, riff, u32 } from '../support/wav-bytes.ts';

const sampleRateHz = 48_000;
const junk = chunk('JUNK', new Array(28).fill(0));
/** Bytes of the samples: what follows the 8 bytes of "data", the last chunk. */
const dataOf = (file: Uint8Array) => file.subarray(Buffer.from(file).lastIndexOf('data', undefined, 'latin1') + 8);
const noise = (frames: number, seed: number) => {
  let state = seed;
  return Float64Array.from(
    { length: frames },
    () => ((state = (state * 48_271) % 2_147_483_647) / 2_147_483_647) * 2 - 1,
  );
};
const encodings: [WavWriterOptions['encoding'] & string, number][] = [
  ['integer', 8],
  ['integer', 16],
  ['integer', 24],
  ['integer', 32],
  ['float', 32],
  ['float', 64],
];

describe('WavWriter: samples', () => {
  it.each(encodings)('gives back every %s sample of %i bits that it can hold', (encoding, bitsPerSample) => {
    // Multiples of one step, the smallest and largest among them; floats: any Float32, above full scale too.
    const scale = 2 ** (bitsPerSample - 1);
    const held = (x: number) => {
      if (encoding === 'float') return bitsPerSample === 32 ? Math.fround(3 * x) : 3 * x;
      return Math.round(x * (scale - 1)) / scale + 0; // integers have no -0
    };
    const left = noise(20_000, 1).map(held);
    left.set(encoding === 'float' ? [2 ** 100, -4, 0] : [-1, 1 - 1 / scale, 0]);
    const right = noise(20_000, 2).map(held);
    const options = { sampleRateHz, encoding, bitsPerSample, dither: false };
    const decoded = decodeWav(encodeWav([left, right], options));
    expect(decoded).toMatchObject({ sampleRateHz, truncated: false, format: { encoding, bitsPerSample } });
    const same = (a: Float64Array, b: Float64Array) => Buffer.from(a.buffer).equals(Buffer.from(b.buffer));
    expect([same(decoded.channels[0], left), same(decoded.channels[1], right), same(left, right)]).toEqual([true, true, false]); // prettier-ignore
  });

  it('gives back the bytes of published files', () => {
    // vectors/wav_headers.json: only the header differs, by the placeholder for RF64.
    const vectors = JSON.parse(readFileSync(new URL('../vectors/wav_headers.json', import.meta.url), 'utf8')) as {
      files: Record<string, { hex: string }>;
    };
    for (const { hex } of Object.values(vectors.files)) {
      const original = Buffer.from(hex, 'hex');
      const decoded = decodeWav(original);
      const { encoding, bitsPerSample } = decoded.format;
      const file = encodeWav(decoded.channels, { sampleRateHz: decoded.sampleRateHz, encoding, bitsPerSample, dither: false }); // prettier-ignore
      expect(Buffer.from(dataOf(file)).toString('hex')).toBe(Buffer.from(dataOf(original)).toString('hex'));
    }
  });

  it('rounds to nearest', () => {
    const steps = [0.49, 0.51, -0.49, -0.51, 1.5, 99.4];
    const file = encodeWav([Float64Array.from(steps, (x) => x / 32_768)], { sampleRateHz, bitsPerSample: 16, dither: false }); // prettier-ignore
    expect([...new Int16Array(dataOf(file).slice().buffer)]).toEqual([0, 1, 0, -1, 2, 99]);
  });

  it.each([8, 16, 24, 32])('saturates at %i bits, never wraps, and counts', (bitsPerSample) => {
    const sink = new BytesSink();
    const writer = new WavWriter(sink, { sampleRateHz, channels: 1, bitsPerSample, dither: false });
    writer.write([Float64Array.of(1, 1.0001, 1e300, -1, -1.1, -1e300, 0.9)]);
    expect(writer.close()).toEqual({ frames: 7, clippedSamples: 5, nonFiniteSamples: 0 });
    const scale = 2 ** (bitsPerSample - 1);
    const top = (scale - 1) / scale;
    expect([...decodeWav(sink.toBytes()).channels[0].subarray(0, 6)]).toEqual([top, top, top, -1, -1, -1]);
  });

  it('writes 0 for what is not finite into integers and counts it; floats keep it', () => {
    const bad = [Float64Array.of(NaN, Infinity, -Infinity, 0.5)];
    const sink = new BytesSink();
    const writer = new WavWriter(sink, { sampleRateHz, channels: 1, dither: false });
    writer.write(bad);
    expect(writer.close()).toEqual({ frames: 4, clippedSamples: 0, nonFiniteSamples: 3 });
    expect([...decodeWav(sink.toBytes()).channels[0]]).toEqual([0, 0, 0, 0.5]);
    expect(decodeWav(encodeWav(bad, { sampleRateHz, encoding: 'float' })).channels).toEqual(bad);
  });

  it('counts over the whole file, not over the last piece', () => {
    const writer = new WavWriter(new BytesSink(), { sampleRateHz, channels: 2, bitsPerSample: 16 });
    const loud = new Float64Array(5000).fill(2);
    const bad = new Float64Array(5000).fill(NaN);
    for (let i = 0; i < 3; i++) writer.write([loud, bad]);
    expect(writer.close()).toEqual({ frames: 15_000, clippedSamples: 15_000, nonFiniteSamples: 15_000 });
  });

  it('gives the same bytes however the samples are cut into calls', () => {
    const channels = [noise(9000, 5), noise(9000, 6), noise(9000, 7)];
    const cuts = fc.array(fc.oneof(fc.nat(3), fc.nat(5000)), { maxLength: 30 });
    fc.assert(
      fc.property(fc.constantFrom(...encodings), cuts, ([encoding, bitsPerSample], lengths) => {
        const sink = new BytesSink();
        const writer = new WavWriter(sink, { sampleRateHz, channels: 3, encoding, bitsPerSample, seed: 11 });
        let at = 0;
        for (const length of lengths) {
          const end = Math.min(9000, at + length);
          if (length % 2 === 0) writer.write(channels, at, end);
          else writer.write(channels.map((x) => x.subarray(at, end)));
          at = end;
        }
        writer.write(channels, at);
        writer.close();
        const whole = encodeWav(channels, { sampleRateHz, encoding, bitsPerSample, seed: 11 });
        expect(Buffer.from(sink.toBytes()).equals(whole)).toBe(true);
      }),
    );
  });

  it('takes Float32 and Float64 alike', () => {
    const narrow = Float32Array.from(noise(5000, 3));
    const file = encodeWav([narrow], { sampleRateHz });
    expect(Buffer.from(encodeWav([Float64Array.from(narrow)], { sampleRateHz })).equals(file)).toBe(true);
  });
});

describe('WavWriter: header', () => {
  const zeros = (channels: number, frames: number) => Array.from({ length: channels }, () => new Float64Array(frames));

  it('is plain for 16-bit stereo', () => {
    const file = encodeWav(zeros(2, 3), { sampleRateHz, bitsPerSample: 16, dither: false });
    const data = chunk('data', new Array(12).fill(0));
    expect(file).toEqual(riff([junk, chunk('fmt ', format({ channels: 2 })), data]));
  });

  it('is extensible above 16 bits and above two channels, with usual loudspeakers for one and two', () => {
    for (const [channels, bits, mask] of [
      [1, 24, 4],
      [2, 24, 3],
      [3, 16, 0],
      [6, 32, 0],
    ]) {
      // prettier-ignore
      const file = encodeWav(zeros(channels, 2), { sampleRateHz, bitsPerSample: bits, dither: false });
      const data = chunk('data', new Array((2 * channels * bits) / 8).fill(0));
      expect(file).toEqual(riff([junk, chunk('fmt ', extensibleFormat({ channels, bits, mask })), data]));
    }
  });

  it('has the number of frames in a "fact" chunk for floats', () => {
    const file = encodeWav(zeros(6, 5), { sampleRateHz, encoding: 'float', channelMask: 0x3f });
    const fmt = chunk('fmt ', extensibleFormat({ tag: 3, channels: 6, bits: 32, mask: 0x3f }));
    expect(file).toEqual(riff([junk, fmt, chunk('fact', u32(5)), chunk('data', new Array(120).fill(0))]));
  });

  it('pads an odd number of bytes, and does not count the pad', () => {
    const file = encodeWav(zeros(1, 3), { sampleRateHz, bitsPerSample: 8, dither: false });
    expect(file).toEqual(riff([junk, chunk('fmt ', format({ bits: 8 })), chunk('data', [128, 128, 128])]));
  });

  it('writes a valid file without samples', () => {
    const file = encodeWav(zeros(2, 0), { sampleRateHz });
    expect(decodeWav(file)).toMatchObject({ channels: zeros(2, 0), truncated: false });
  });

  it('says "to the end of the file" in a sink that cannot patch, and until close in one that can', () => {
    for (const bitsPerSample of [8, 24]) {
      const pieces: number[] = [];
      const writer = new WavWriter({ write: (bytes) => pieces.push(...bytes) }, { sampleRateHz, channels: 1, bitsPerSample, dither: false }); // prettier-ignore
      writer.write([Float64Array.of(0.5, -0.5, 0.25)]);
      writer.close();
      const header = Uint8Array.from(pieces);
      expect(new DataView(header.buffer).getUint32(4, true)).toBe(0xffff_ffff);
      expect([...decodeWav(header).channels[0]]).toEqual([0.5, -0.5, 0.25]);
    }
    const sink = new BytesSink();
    const writer = new WavWriter(sink, { sampleRateHz, channels: 1, dither: false });
    writer.write([noise(20_000, 1)]);
    const unfinished = decodeWav(sink.toBytes());
    expect([unfinished.channels[0].length, unfinished.truncated]).toEqual([16_384, false]);
  });

  it('uses a fixed array for pieces of many frames', () => {
    const sizes: number[] = [];
    const writer = new WavWriter({ write: (bytes) => sizes.push(bytes.length) }, { sampleRateHz, channels: 2 });
    for (let i = 0; i < 1000; i++) writer.write(zeros(2, 64));
    expect(sizes.slice(1).every((size) => size === 8192 * 3)).toBe(true);
    expect(sizes).toHaveLength(1 + Math.floor((1000 * 64) / 4096));
  });
});

describe('WavWriter: refusals', () => {
  const make = (options: object) => () => new WavWriter(new BytesSink(), { sampleRateHz, channels: 2, ...options }); // prettier-ignore

  it('names owner, option, range and value', () => {
    expect(make({ channels: 0 })).toThrow(new RangeError('WavWriter: channels must be 1 to 21845, got 0'));
    expect(make({ channels: 30_000 })).toThrow(RangeError);
    expect(make({ sampleRateHz: 44_100.5 })).toThrow(new RangeError('WavWriter: sampleRateHz must be a whole number from 1 to 1536000, got 44100.5')); // prettier-ignore
    expect(make({ sampleRateHz: 0 })).toThrow(new RangeError('WavWriter: sampleRateHz must be 1 to 1536000, got 0'));
    expect(make({ bitsPerSample: 20 })).toThrow(new RangeError('WavWriter: bitsPerSample must be 8, 16, 24 or 32 for integers, got 20')); // prettier-ignore
    expect(make({ encoding: 'float', bitsPerSample: 16 })).toThrow(new RangeError('WavWriter: bitsPerSample must be 32 or 64 for floats, got 16')); // prettier-ignore
    expect(make({ encoding: 'pcm' })).toThrow(new TypeError('WavWriter: encoding must be integer or float, got pcm'));
    expect(make({ seed: -1 })).toThrow(new RangeError('WavWriter: seed must be 0 to 9007199254740991, got -1'));
    expect(make({ dither: 'on' })).toThrow(new TypeError('WavWriter: dither must be a boolean, got on'));
    expect(make({ bitPerSample: 16 })).toThrow(new TypeError('WavWriter: bitPerSample is unknown; the nearest name is bitsPerSample')); // prettier-ignore
  });

  it('refuses samples that do not fit, and samples after the end', () => {
    const writer = make({})();
    expect(() => writer.write([new Float64Array(4)])).toThrow(new RangeError('WavWriter: channels must have 2 channels, got 1')); // prettier-ignore
    const uneven = [new Float64Array(4), new Float64Array(3)];
    expect(() => writer.write(uneven)).toThrow(new RangeError('WavWriter: end must be 0 to 3, got 4'));
    expect(() => writer.write(uneven, 3, 2)).toThrow(new RangeError('WavWriter: start must be 0 to 2, got 3'));
    writer.write(uneven, 1, 3);
    expect([writer.close().frames, writer.close().frames]).toEqual([2, 2]);
    expect(() => writer.write(uneven, 0, 1)).toThrow('WavWriter: write after close');
    expect(() => encodeWav(uneven, { sampleRateHz })).toThrow('encodeWav: channels[1] must have 4 samples, got 3');
    expect(() => encodeWav([], { sampleRateHz })).toThrow('WavWriter: channels must be 1 to');
  });
});
