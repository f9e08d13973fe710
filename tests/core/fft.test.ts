import { describe, expect, it } from 'vitest';
import { ComplexFft, RealFft } from '../../src/core/fft.ts';
import { fourierError, LAST_PLACE } from '../support/tolerances.ts';
import { plainRandom } from '../support/worst.ts';

const SIZES = [4, 8, 16, 32, 64, 128, 256, 512, 1024];

const noise = (length: number, seed: number): Float64Array => {
  const random = plainRandom(seed);
  return Float64Array.from({ length }, () => 2 * random() - 1);
};

/** The defining sum; k n mod N keeps the angle exact. */
function naive(re: Float64Array, im: Float64Array): [Float64Array, Float64Array] {
  const size = re.length;
  const cosine = Float64Array.from(re, (_, j) => Math.cos((2 * Math.PI * j) / size));
  const sine = Float64Array.from(re, (_, j) => Math.sin((2 * Math.PI * j) / size));
  const outRe = new Float64Array(size);
  const outIm = new Float64Array(size);
  for (let k = 0; k < size; k++) {
    for (let n = 0; n < size; n++) {
      const j = (k * n) % size;
      outRe[k] += re[n] * cosine[j] + im[n] * sine[j];
      outIm[k] += im[n] * cosine[j] - re[n] * sine[j];
    }
  }
  return [outRe, outIm];
}

const largest = (values: Float64Array): number => values.reduce((max, x) => Math.max(max, Math.abs(x)), 0);
const difference = (a: Float64Array, b: Float64Array): number => largest(a.map((x, i) => x - b[i]));
const energy = (values: Float64Array): number => values.reduce((sum, x) => sum + x * x, 0);

describe('ComplexFft', () => {
  it('is the defining sum', () => {
    for (const size of [2, ...SIZES]) {
      const [re, im, outRe, outIm] = [noise(size, 1), noise(size, 2), new Float64Array(size), new Float64Array(size)];
      new ComplexFft(size).forward(re, im, outRe, outIm);
      const [expectedRe, expectedIm] = naive(re, im);
      const scale = largest(expectedRe) * Math.sqrt(size); // the naive sum of N terms rounds more than the transform
      expect(Math.max(difference(outRe, expectedRe), difference(outIm, expectedIm)) / scale).toBeLessThan(
        fourierError(size),
      );
    }
  });

  it('comes back from its spectrum, also in place', () => {
    for (const size of [2, 4, 64, 4096, 65536]) {
      const fft = new ComplexFft(size);
      const [re, im] = [noise(size, 3), noise(size, 4)];
      const [a, b] = [re.slice(), im.slice()];
      fft.forward(a, b, a, b);
      fft.inverse(a, b, a, b);
      expect(Math.max(difference(a, re), difference(b, im))).toBeLessThan(fourierError(size));
    }
  });

  it('turns a single sample into e^(-2 pi i k n / N), to the last bit where that is 0 or 1', () => {
    const size = 256;
    for (const n of [0, 1, 77, 128]) {
      const re = new Float64Array(size);
      re[n] = 1;
      const [outRe, outIm] = [new Float64Array(size), new Float64Array(size)];
      new ComplexFft(size).forward(re, new Float64Array(size), outRe, outIm);
      const worst = outRe.reduce(
        (max, x, k) =>
          Math.max(
            max,
            Math.abs(x - Math.cos((2 * Math.PI * ((k * n) % size)) / size)),
            Math.abs(outIm[k] + Math.sin((2 * Math.PI * ((k * n) % size)) / size)),
          ),
        0,
      );
      expect(worst).toBeLessThan(4 * LAST_PLACE);
      if (n === 128) expect([...outRe]).toEqual(Array.from(outRe, (_, k) => (k & 1 ? -1 : 1)));
    }
  });
});

describe('RealFft', () => {
  it('is the defining sum', () => {
    for (const size of SIZES) {
      const fft = new RealFft(size);
      const input = noise(size, 5);
      const [re, im] = [new Float64Array(fft.bins), new Float64Array(fft.bins)];
      fft.forward(input, re, im);
      const [expectedRe, expectedIm] = naive(input, new Float64Array(size));
      const scale = largest(expectedRe) * Math.sqrt(size);
      const error = Math.max(
        difference(re, expectedRe.subarray(0, fft.bins)),
        difference(im, expectedIm.subarray(0, fft.bins)),
      );
      expect(error / scale).toBeLessThan(fourierError(size));
      expect([fft.bins, im[0], im[fft.bins - 1]]).toEqual([size / 2 + 1, 0, 0]);
    }
  });

  it('comes back from its spectrum', () => {
    for (const size of [...SIZES, 2048, 65536]) {
      const fft = new RealFft(size);
      const input = noise(size, 6);
      const [re, im, output] = [new Float64Array(fft.bins), new Float64Array(fft.bins), new Float64Array(size)];
      fft.forward(input, re, im);
      fft.inverse(re, im, output);
      expect(difference(output, input)).toBeLessThan(fourierError(size));
    }
  });

  it('keeps the energy (Parseval): sum x^2 = (X0^2 + X(N/2)^2 + 2 sum |X|^2) / N', () => {
    for (const size of SIZES) {
      const fft = new RealFft(size);
      const input = noise(size, 7);
      const [re, im] = [new Float64Array(fft.bins), new Float64Array(fft.bins)];
      fft.forward(input, re, im);
      const spectrum = (2 * (energy(re) + energy(im)) - re[0] ** 2 - re[size / 2] ** 2) / size;
      expect(Math.abs(spectrum / energy(input) - 1)).toBeLessThan(fourierError(size));
    }
  });

  it('puts a cosine into one bin, N/2 high, and a sine at -i N/2', () => {
    const fft = new RealFft(4096);
    const [re, im] = [new Float64Array(fft.bins), new Float64Array(fft.bins)];
    const input = Float64Array.from({ length: 4096 }, (_, n) => {
      return Math.cos((2 * Math.PI * ((100 * n) % 4096)) / 4096) + Math.sin((2 * Math.PI * ((200 * n) % 4096)) / 4096);
    });
    fft.forward(input, re, im);
    re[100] -= 2048;
    im[200] += 2048;
    expect(Math.max(largest(re), largest(im)) / 2048).toBeLessThan(fourierError(4096));
  });

  it('convolves: the spectrum of a circular convolution is the product of the spectra', () => {
    const fft = new RealFft(64);
    const [a, b] = [noise(64, 8), noise(64, 9)];
    const [aRe, aIm, bRe, bIm] = Array.from({ length: 4 }, () => new Float64Array(fft.bins));
    fft.forward(a, aRe, aIm);
    fft.forward(b, bRe, bIm);
    const output = new Float64Array(64);
    fft.inverse(
      aRe.map((x, k) => x * bRe[k] - aIm[k] * bIm[k]),
      aRe.map((x, k) => x * bIm[k] + aIm[k] * bRe[k]),
      output,
    );
    const direct = a.map((_, n) => a.reduce((sum, x, m) => sum + x * b[(n - m + 64) % 64], 0));
    expect(difference(output, direct) / largest(direct)).toBeLessThan(fourierError(64));
  });

  it('leaves its input and the rest of longer arrays alone', () => {
    const fft = new RealFft(8);
    const input = noise(12, 10);
    const copy = input.slice();
    const [re, im, output] = [new Float64Array(9).fill(7), new Float64Array(9).fill(7), new Float64Array(12).fill(7)];
    fft.forward(input, re, im);
    fft.inverse(re, im, output);
    expect(input).toEqual(copy);
    expect([re[5], im[5], output[8]]).toEqual([7, 7, 7]);
    expect([im[0], im[4]]).toEqual([0, 0]); // no imaginary part at 0 Hz and at half the sample rate
  });

  it('refuses sizes and arrays that do not fit', () => {
    expect(() => new RealFft(2)).toThrow(new RangeError('RealFft: size must be 4 to 4194304, got 2'));
    expect(() => new RealFft(48)).toThrow(new RangeError('RealFft: size must be a power of two, got 48'));
    expect(() => new ComplexFft(1)).toThrow(/^ComplexFft: size must be/);
    const [five, eight] = [new Float64Array(5), new Float64Array(8)];
    const fft = new RealFft(8);
    expect(() => fft.forward(five, five, five)).toThrow(
      new RangeError('RealFft: arrays must hold at least 8 values, got 5'),
    );
    const four = new Float64Array(4);
    expect(() => fft.forward(eight, four, five)).toThrow('RealFft: arrays must hold at least 5 values, got 4');
    expect(() => fft.forward(eight, five, four)).toThrow('RealFft: arrays must hold at least 5 values, got 4');
    expect(() => fft.inverse(five, four, eight)).toThrow('RealFft: arrays must hold at least 5 values, got 4');
    expect(() => fft.inverse(five, five, five)).toThrow('RealFft: arrays must hold at least 8 values, got 5');
    const complex = new ComplexFft(8);
    for (const short of [0, 1, 2, 3]) {
      const [a, b, c, d] = [0, 1, 2, 3].map((i) => (i === short ? five : eight));
      const message = 'ComplexFft: arrays must hold at least 8 values, got 5';
      expect(() => complex.forward(a, b, c, d)).toThrow(message);
      expect(() => complex.inverse(a, b, c, d)).toThrow(message);
    }
  });
});
