import { noise } from './signals.ts';

const RATE = 48000;

/** The stereo signal of `vectors/band_spectrum.json`: low and noisy hits, noise of opposite polarity, a tone on the right. */
export function bandFixture(): Float64Array[] {
  const [w1, w2] = [noise(100_000, 11), noise(100_000, 12)];
  const make = (f: (n: number, low: number, high: number) => number) =>
    Float64Array.from({ length: 100_000 }, (_, n) =>
      f(
        n,
        Math.exp(-(n % 12_000) / 1500) * Math.sin((2 * Math.PI * 62 * n) / RATE),
        Math.exp(-(n % 6000) / 900) * w1[n],
      ),
    );
  return [
    make((n, low, high) => 0.5 * low + 0.2 * high + 0.05 * w2[n]),
    make((n, low, high) => 0.45 * low + 0.1 * high - 0.05 * w2[n] + 0.02 * Math.sin((2 * Math.PI * 9731 * n) / RATE)),
  ];
}
