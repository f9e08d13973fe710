import { describe, expect, it } from 'vitest';
import { Convolver } from '../../src/simulation/convolution.ts';
import { Transform } from '../../src/simulation/transform.ts';
import { largestDifference } from './measure.ts';

function noise(length: number, seed: number): Float64Array {
  let state = seed;
  return Float64Array.from({ length }, () => {
    state = (Math.imul(state, 1664525) + 1013904223) | 0;
    return state / 2147483648;
  });
}

/** Convolution by its definition. */
function convolve(signal: Float64Array, response: Float64Array): Float64Array {
  const out = new Float64Array(signal.length + response.length - 1);
  for (let i = 0; i < signal.length; i++)
    for (let k = 0; k < response.length; k++) out[i + k] += signal[i] * response[k];
  return out;
}

describe('Transform', () => {
  it.each([4, 8, 16, 32, 256, 512])('of size %d holds the values of the definition, in some order', (size) => {
    const [inRe, inIm] = [noise(size, 1), noise(size, 2)];
    const re = inRe.slice();
    const im = inIm.slice();
    new Transform(size).forward(re, im);
    const found = new Set<number>();
    for (let k = 0; k < size; k++) {
      let [x, y] = [0, 0];
      for (let n = 0; n < size; n++) {
        const [c, s] = [Math.cos((2 * Math.PI * k * n) / size), Math.sin((2 * Math.PI * k * n) / size)];
        x += inRe[n] * c + inIm[n] * s;
        y += inIm[n] * c - inRe[n] * s;
      }
      const at = re.findIndex((value, i) => Math.hypot(value - x, im[i] - y) < 1e-9);
      if (at >= 0) found.add(at);
    }
    expect(found.size).toBe(size);
  });

  it.each([4, 8, 2048, 4096])('of size %d returns size times the input', (size) => {
    const [re, im] = [noise(size, 3), noise(size, 4)];
    const [outRe, outIm] = [re.slice(), im.slice()];
    const transform = new Transform(size);
    transform.forward(outRe, outIm);
    transform.inverse(outRe, outIm);
    expect(
      largestDifference(
        outRe,
        re.map((x) => x * size),
      ),
    ).toBeLessThan(1e-12 * size);
    expect(
      largestDifference(
        outIm,
        im.map((x) => x * size),
      ),
    ).toBeLessThan(1e-12 * size);
  });
});

describe('Convolver', () => {
  const response = noise(301, 5);
  const other = noise(277, 6);
  const signal = noise(7001, 7);
  const convolver = new Convolver(301);

  it.each([0, 500, -40])('filters like the definition, placed at %d', (start) => {
    const target = new Float64Array(8000);
    convolver.addFiltered(signal, convolver.spectrumOf(response), target, start);
    const expected = new Float64Array(8000);
    convolve(signal, response).forEach((x, i) => {
      if (i + start >= 0 && i + start < 8000) expected[i + start] = x;
    });
    expect(largestDifference(target, expected)).toBeLessThan(1e-12);
  });

  it('hears one signal through two responses, each like the definition, a lead ahead', () => {
    const outputs = [new Float64Array(7001), new Float64Array(7001)];
    convolver.hear(signal, [convolver.spectrumOf(response, other)], 60, (_, start, count, first, second, offset) => {
      outputs[0].set(first.subarray(offset, offset + count), start);
      outputs[1].set(second.subarray(offset, offset + count), start);
    });
    expect(largestDifference(outputs[0], convolve(signal, response).slice(60, 7061))).toBeLessThan(1e-12);
    expect(largestDifference(outputs[1], convolve(signal, other).slice(60, 7061))).toBeLessThan(1e-12);
  });
});
