/** The kernel: its bits, its precision, its silence. */
import { describe, expect, it } from 'vitest';
import type { BiquadCoefficients } from '../../src/filters/biquad-coefficients.ts';
import { bandpass, highpass, lowpass, peaking } from '../../src/filters/biquad-design.ts';
import { BiquadKernel, writeSections } from '../../src/filters/biquad-kernel.ts';
import { butterworthHighpass, butterworthLowpass } from '../../src/filters/butterworth.ts';
import { lowShelf } from '../../src/filters/shelf-design.ts';
import { firstDifference, impulse, largestDifference, noise, numbers, peak, sine } from '../support/signals.ts';
import { filterExactly } from './double-double.ts';

const BLOCK = 128;
const decibels = (gain: number): number => 20 * Math.log10(gain);

function kernelOf(sections: readonly BiquadCoefficients[], channels: number): BiquadKernel {
  const kernel = new BiquadKernel(sections.length, channels);
  writeSections(kernel.coefficients, sections);
  return kernel;
}

/** Runs the kernel in pieces of the given lengths. */
function run(kernel: BiquadKernel, input: readonly Float64Array[], piece: () => number = () => BLOCK): Float64Array[] {
  const output = input.map((x) => x.slice());
  for (let at = 0; at < input[0].length;) {
    const count = Math.min(piece(), input[0].length - at);
    kernel.run(
      output.map((y) => y.subarray(at, at + count)),
      count,
    );
    at += count;
  }
  return output;
}

/** The difference equation as the header writes it. */
function plainly(sections: readonly BiquadCoefficients[], input: Float64Array): Float64Array {
  return sections.reduce((x, { b0, b1, b2, a1, a2 }) => {
    const y = new Float64Array(x.length);
    const past = (z: Float64Array, n: number): number => (n < 0 ? 0 : z[n]);
    for (let n = 0; n < x.length; n++) {
      y[n] = b0 * x[n] + b1 * past(x, n - 1) + b2 * past(x, n - 2) - a2 * past(y, n - 2) - a1 * past(y, n - 1);
    }
    return y;
  }, input);
}

describe('BiquadKernel', () => {
  const sections = [
    highpass({ sampleRateHz: 48000, frequencyHz: 60 }),
    peaking({ sampleRateHz: 48000, frequencyHz: 900, q: 3, gainDb: -7 }),
    lowpass({ sampleRateHz: 48000, frequencyHz: 9000, q: 2 }),
  ];

  it.each([1, 2, 3, 4, 5])(
    'gives the bits of the plain difference equation on %i channels, in any pieces',
    (channels) => {
      const input = Array.from({ length: channels }, (_, c) => noise(2000, c + 1));
      const next = numbers(channels);
      const output = run(kernelOf(sections, channels), input, () => 1 + Math.floor(next() * BLOCK));
      expect(output.map((y, c) => firstDifference(y, plainly(sections, input[c])))).toEqual(input.map(() => -1));
    },
  );

  it('passes everything until it is given coefficients, and where there are fewer sections than room', () => {
    const x = noise(300);
    expect(firstDifference(run(new BiquadKernel(3, 1), [x])[0], x)).toBe(-1);
    const kernel = new BiquadKernel(3, 1);
    writeSections(kernel.coefficients, sections);
    writeSections(kernel.coefficients, sections.slice(0, 1));
    expect(firstDifference(run(kernel, [x])[0], plainly(sections.slice(0, 1), x))).toBe(-1);
  });

  it('reset() forgets the signal and keeps the coefficients', () => {
    const kernel = kernelOf(sections, 1);
    const x = noise(300);
    const first = run(kernel, [x])[0];
    kernel.reset();
    expect(firstDifference(run(kernel, [x])[0], first)).toBe(-1);
  });

  it('flushes a past of x or of y that is below -600 dB as a whole, each by itself', () => {
    const kernel = kernelOf(sections, 1);
    const [, past] = kernel.state;
    past.set([1e-31, -1e-31, 0.5, 1e-31, 1e-31, 0.5, 0, 2e-30, 0.5, 0.5, -1e-31, 1e-31]);
    kernel.flush();
    expect([...past]).toEqual([0, 0, 0.5, 1e-31, 1e-31, 0.5, 0, 2e-30, 0.5, 0.5, 0, 0]);
  });

  // Requirement: a 20 Hz corner at 192 kHz stays below -140 dBFS error.
  const fine = { sampleRateHz: 192000, frequencyHz: 20 };
  it.each([
    ['low-pass', [lowpass(fine)]],
    ['high-pass', [highpass(fine)]],
    ['band-pass, q 20', [bandpass({ ...fine, q: 20 })]],
    ['bell, +18 dB', [peaking({ ...fine, q: 2, gainDb: 18 })]],
    ['shelf, -18 dB', [lowShelf({ ...fine, gainDb: -18 })]],
    ['low-pass of order 8', butterworthLowpass({ ...fine, order: 8 })],
    ['high-pass of order 16', butterworthHighpass({ ...fine, order: 16 })],
  ])('is within -140 dBFS of exact arithmetic at 20 Hz and 192 kHz: %s', (_, tested) => {
    const tone = sine(40000, 20, 192000, 0.5, 1);
    const input = noise(40000, 5, 0.5).map((x, n) => x + tone[n]);
    const error = largestDifference(run(kernelOf(tested, 1), [input])[0], filterExactly(tested, input));
    expect(decibels(error)).toBeLessThan(-140);
  });

  it('would be told by that comparison from a filter that keeps its past in float32', () => {
    const tested = [lowpass(fine)];
    const input = sine(40000, 20, 192000);
    const [{ b0, b1, b2, a1, a2 }] = tested;
    const y = new Float32Array(input.length);
    for (let n = 2; n < y.length; n++) {
      y[n] = b0 * input[n] + b1 * input[n - 1] + b2 * input[n - 2] - a1 * y[n - 1] - a2 * y[n - 2];
    }
    expect(decibels(largestDifference(y, filterExactly(tested, input)))).toBeGreaterThan(-60);
  });

  it.each([44100, 48000, 192000])(
    'comes to exact rest in silence at %i Hz, and never meets a denormal',
    (sampleRateHz) => {
      const ringing = [
        highpass({ sampleRateHz, frequencyHz: 20 }),
        peaking({ sampleRateHz, frequencyHz: 50, q: 5, gainDb: 12 }),
        lowpass({ sampleRateHz, frequencyHz: 80, q: 2 }),
      ];
      const kernel = kernelOf(ringing, 2);
      const block = [noise(BLOCK, 1), noise(BLOCK, 2)];
      run(kernel, block);
      let blocks = 0;
      let smallest = Infinity;
      for (; blocks < 100_000 && kernel.state.slice(1).some((past) => past.some((s) => s !== 0)); blocks++) {
        kernel.flush();
        block.forEach((x) => x.fill(0));
        kernel.run(block, BLOCK);
        const sizes = kernel.state.slice(1).flatMap((past) => [...past].map(Math.abs));
        smallest = Math.min(smallest, ...sizes.filter((s) => s > 0));
      }
      // The slowest poles fall by 600 dB + margin: 80 / (1 - r) samples, r = 1 - pi f / (q sampleRate).
      expect(blocks).toBeLessThan((4 * 80 * sampleRateHz * 5) / (Math.PI * 50) / BLOCK);
      expect(smallest).toBeGreaterThan(2.3e-308);
      run(kernel, [impulse(BLOCK), impulse(BLOCK)]);
      expect(peak(kernel.state[1])).toBeGreaterThan(0);
    },
  );
});
