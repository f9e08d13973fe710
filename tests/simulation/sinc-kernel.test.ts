import { describe, expect, it } from 'vitest';
import { bandLimitShape, delayShape, SincKernel } from '../../src/simulation/sinc-kernel.ts';
import { toDb, transformAt } from './measure.ts';

/** Largest |H(f) - exp(-j w fraction)| over a grid of frequencies and fractions, dB. */
function worstErrorDb(shape: typeof delayShape, highestCycles: number): number {
  const kernel = new SincKernel(shape);
  let worst = 0;
  for (let fraction = 0; fraction < 1; fraction += 0.0625) {
    const samples = kernel.around(fraction);
    const origin = shape.halfWidthSamples - 1 + fraction; // where the pulse is centred
    for (let f = 0; f <= highestCycles; f += 1 / 192) {
      const { re, im } = transformAt(samples, f, origin);
      worst = Math.max(worst, Math.hypot(re - 1, im));
    }
  }
  return toDb(worst);
}

describe('delay kernel', () => {
  it('delays by any fraction within -150 dB below 20/48 of the sample rate', () => {
    expect(worstErrorDb(delayShape, 20 / 48)).toBeLessThan(-150);
  });

  it('is a single 1 for a whole delay', () => {
    const samples = new SincKernel(delayShape).around(0);
    const rest = samples.map((sample, i) => (i === delayShape.halfWidthSamples - 1 ? sample - 1 : sample));
    expect(Math.max(...rest.map(Math.abs))).toBeLessThan(1e-15);
  });
});

describe('band limit', () => {
  it('is flat and in time within -100 dB up to 18/48 of the sample rate', () => {
    expect(worstErrorDb(bandLimitShape, 18 / 48)).toBeLessThan(-100);
  });

  it('leaves at most -110 dB above 20/48 of the sample rate', () => {
    const kernel = new SincKernel(bandLimitShape);
    let worst = 0;
    for (let fraction = 0; fraction < 1; fraction += 0.125) {
      const samples = kernel.around(fraction);
      for (let f = 20 / 48; f <= 0.5; f += 1 / 1536) {
        const { re, im } = transformAt(samples, f);
        worst = Math.max(worst, Math.hypot(re, im));
      }
    }
    expect(toDb(worst)).toBeLessThan(-110);
  });
});
