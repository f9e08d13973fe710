/** Against an independent codec, @echogarden/wave-codec 0.4.0, both ways. It works in Float32. */
import { decodeWaveToFloat32Channels, encodeWaveFromFloat32Channels, SampleFormat } from '@echogarden/wave-codec';
import { describe, expect, it } from 'vitest';
import { decodeWav } from '../../src/wav/decode-wav.ts';
import { encodeWav } from '../../src/wav/encode-wav.ts';

const kinds = [8, 16, 24, 32].map((bits) => ({ encoding: 'integer', bits }) as const);
const floats = [32, 64].map((bits) => ({ encoding: 'float', bits }) as const);
const cases = [...kinds, ...floats].flatMap((kind) => [1, 2, 5].map((channels) => ({ ...kind, channels })));

/** Noise up to 1.2, so that integers are clipped too. */
function noise(channels: number): Float32Array[] {
  let state = 12_345;
  const next = () => ((state = (state * 48_271) % 2_147_483_647) / 2_147_483_647) * 2.4 - 1.2;
  return Array.from({ length: channels }, () => Float32Array.from({ length: 10_001 }, next));
}

const equal = (a: Float32Array, b: Float32Array) => Buffer.compare(Buffer.from(a.buffer), Buffer.from(b.buffer)) === 0;

describe.each(cases)('$encoding $bits bits, $channels channels', ({ encoding, bits, channels }) => {
  const input = noise(channels);

  it('reads the files of the other codec as the other codec does', () => {
    const kind = encoding === 'float' ? SampleFormat.Float : SampleFormat.PCM;
    const file = encodeWaveFromFloat32Channels(input, 44_100, bits as 8 | 16 | 24 | 32 | 64, kind);
    const theirs = decodeWaveToFloat32Channels(file).audioChannels;
    const ours = decodeWav(file);
    expect([ours.sampleRateHz, ours.channels.length, theirs.length]).toEqual([44_100, channels, channels]);
    expect(ours.channels.map((x, c) => equal(Float32Array.from(x), theirs[c]))).toEqual(theirs.map(() => true));
  });

  it('writes files that the other codec reads as we do, and the same samples as the other codec', () => {
    const file = encodeWav(input, { sampleRateHz: 96_000, encoding, bitsPerSample: bits, dither: false });
    const theirs = decodeWaveToFloat32Channels(file);
    expect([theirs.sampleRate, theirs.audioChannels.length]).toEqual([96_000, channels]);
    const ours = decodeWav(file).channels.map((x) => Float32Array.from(x));
    expect(ours.map((x, c) => equal(x, theirs.audioChannels[c]))).toEqual(ours.map(() => true));

    const kind = encoding === 'float' ? SampleFormat.Float : SampleFormat.PCM;
    const other = encodeWaveFromFloat32Channels(input, 96_000, bits as 8 | 16 | 24 | 32 | 64, kind);
    const again = decodeWaveToFloat32Channels(other).audioChannels;
    expect(ours.map((x, c) => equal(x, again[c]))).toEqual(ours.map(() => true));
  });
});
