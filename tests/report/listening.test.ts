import { describe, expect, it } from 'vitest';
import { recordingOf } from '../../src/comparison/recording.ts';
import { measureLoudness } from '../../src/meters/loudness.ts';
import { listeningPair } from '../../src/report/listening.ts';
import { decodeWav } from '../../src/wav/decode-wav.ts';
import { noise, peak } from '../support/signals.ts';

const RATE = 48_000;
const quietStart = (x: Float64Array) => x.map((v, i) => (i < 4 * RATE ? 0.1 * v : v));

describe('a listening pair', () => {
  const mix = quietStart(noise(14 * RATE, 1, 0.5)),
    other = quietStart(noise(14 * RATE, 2, 0.05));
  // One sample tells where an excerpt lies.
  mix[7 * RATE] = 0.9;
  other[7 * RATE] = 0.9;

  it('is the same moment at the same loudness, quiet, and fades in', () => {
    const pair = listeningPair(recordingOf(RATE, [mix, mix]), recordingOf(RATE, [other, other])) ?? expect.fail('none');
    const [after, before] = [pair.mix, pair.unprocessed].map((bytes) => decodeWav(bytes));
    expect(after).toMatchObject({ sampleRateHz: RATE, format: { bitsPerSample: 16 } });
    const loudness = [after, before].map(({ channels }) => measureLoudness(channels, RATE));
    expect(Math.abs(loudness[0] - loudness[1])).toBeLessThan(0.1);
    expect(loudness[0]).toBeCloseTo(pair.loudnessLufs, 2);
    expect(pair.loudnessLufs).toBeLessThanOrEqual(-23);
    const at = Math.round((7 - pair.startSeconds) * RATE);
    const magnitudes = before.channels[0].map(Math.abs);
    expect(magnitudes.indexOf(Math.max(...magnitudes.subarray(at - 50, at + 50)))).toBe(at);
    for (const { channels } of [after, before]) {
      expect(channels[0]).toHaveLength(8 * RATE);
      const loudest = (from: number, to: number) => peak(channels[0].subarray(from * RATE, to * RATE));
      expect(loudest(0, 0.1)).toBeLessThan(0.05 * loudest(1, 2));
    }
  });

  it('is lowered as a whole where peaks would not fit', () => {
    const spiky = noise(9 * RATE, 3, 0.001);
    for (let i = RATE; i < spiky.length; i += RATE) spiky[i] = 1;
    const steady = noise(9 * RATE, 4, 0.1);
    const pair = listeningPair(recordingOf(RATE, [steady]), recordingOf(RATE, [spiky])) ?? expect.fail('none');
    const [after, before] = [pair.mix, pair.unprocessed].map((bytes) => decodeWav(bytes).channels);
    expect(pair.loudnessLufs).toBeLessThan(-25);
    expect(20 * Math.log10(peak(before[0]))).toBeCloseTo(-1, 1);
    expect(Math.abs(measureLoudness(after, RATE) - measureLoudness(before, RATE))).toBeLessThan(0.1);
  });

  it('comes down to 48 kHz, so that its size is bounded', () => {
    const high = recordingOf(96_000, [noise(9 * 96_000, 5, 0.2)]);
    const pair = listeningPair(high, high) ?? expect.fail('none');
    expect(decodeWav(pair.mix)).toMatchObject({ sampleRateHz: RATE });
    expect(pair.mix.length).toBeLessThan(2 * 8.1 * RATE);
  });

  it('is not there for silence, or for what is too short to be loud', () => {
    const sound = recordingOf(RATE, [mix]);
    expect(listeningPair(recordingOf(RATE, [new Float64Array(14 * RATE)]), sound)).toBeUndefined();
    expect(listeningPair(sound, recordingOf(RATE, [new Float64Array(14 * RATE)]))).toBeUndefined();
    expect(listeningPair(recordingOf(RATE, [mix.subarray(0, 1)]), sound)).toBeUndefined();
    expect(listeningPair(recordingOf(RATE, [new Float64Array(0)]), sound)).toBeUndefined();
  });
});
