import { describe, expect, it } from 'vitest';
import { DelayLine } from '../../src/core/delay-line.ts';
import { restoreState, type SavedState, saveState } from '../../src/core/saved-state.ts';
import { FractionalDelay, fractionalDelayParameters } from '../../src/filters/fractional-delay.ts';
import { FractionalTap } from '../../src/filters/fractional-tap.ts';
import { obeysProcessorLaws, render64 } from '../support/processor-laws.ts';
import { bursts, firstDifference, impulse, largestDifference, noise, numbers, peak } from '../support/signals.ts';

const mono = { sampleRateHz: 48000, channels: 1 };
const stereo = { sampleRateHz: 48000, channels: 2 };
const GLIDE = 960; // 20 ms at 48 kHz
const LATENCY = 47;
/** Top of the band in cycles per sample: 20 kHz at 48 kHz. */
const BAND = 20 / 48;
/** -120 dB. */
const INAUDIBLE = 1e-6;

const delayed = (x: Float64Array, delaySamples: number): Float64Array =>
  render64(new FractionalDelay(mono, { delaySamples, maximumSamples: 1000 }), [x])[0];

/** Delays of all kinds: just above whole, halves, just below whole, anything. */
function delays(): number[] {
  const next = numbers(11);
  return [1e-9, 0.001, 0.25, 0.5, 0.75, 0.999, 1 - 1e-9, 1.5, 300.125, ...Array.from({ length: 20 }, () => 9 * next())];
}

/** Largest distance of the response from e^(-jw delay), and of the group delay from `delay`, over 0 to `edge`. */
function deviation(h: Float64Array, delay: number, edge: number): { dB: number; response: number; groupDelay: number } {
  const worst = { dB: 0, response: 0, groupDelay: 0 };
  for (let step = 0; step <= 150; step++) {
    const w = (2 * Math.PI * edge * step) / 150;
    let re = 0,
      im = 0,
      moment = 0,
      momentIm = 0;
    for (let n = 0; n < h.length; n++) {
      if (h[n] === 0) continue;
      const cosine = h[n] * Math.cos(w * (n - delay)),
        sine = -h[n] * Math.sin(w * (n - delay));
      re += cosine;
      im += sine;
      moment += (n - delay) * cosine;
      momentIm += (n - delay) * sine;
    }
    const power = re * re + im * im;
    worst.dB = Math.max(worst.dB, Math.abs(10 * Math.log10(power)));
    worst.response = Math.max(worst.response, Math.hypot(re - 1, im));
    // Minus the derivative of the phase: the transform of n h[n] over that of h, real part.
    worst.groupDelay = Math.max(worst.groupDelay, Math.abs((moment * re + momentIm * im) / power));
  }
  return worst;
}

/** 60 sines of random phase spread over the band. */
function bandLimited(length: number, seed: number): Float64Array {
  const next = numbers(seed);
  const x = new Float64Array(length);
  for (let s = 1; s <= 60; s++) {
    const w = (2 * Math.PI * BAND * s) / 60,
      phase = 2 * Math.PI * next();
    for (let n = 0; n < length; n++) x[n] += Math.sin(w * n + phase);
  }
  return x;
}

describe('FractionalTap', () => {
  it('is back at a delay of 0 after a reset', () => {
    const line = new DelayLine(200),
      x = noise(128),
      y = new Float64Array(128);
    line.write(x, 128);
    const tap = new FractionalTap();
    tap.tune(2.5);
    tap.reset();
    expect(tap.delaySamples).toBe(0);
    tap.read(line, y, 128);
    expect(firstDifference(y.subarray(LATENCY), x.subarray(0, 128 - LATENCY))).toBe(-1);
  });
});

describe('FractionalDelay', () => {
  obeysProcessorLaws(stereo, {
    create: (o) => new FractionalDelay(stereo, o),
    table: fractionalDelayParameters,
    lively: { delaySamples: 37.3, maximumSamples: 500 },
    arrange: (o) => {
      const maximumSamples = Math.min(o.maximumSamples ?? 3000, 20_000);
      return { maximumSamples, delaySamples: Math.min(o.delaySamples ?? 0.5, maximumSamples) };
    },
    runs: 10,
  });

  it('is flat, and delays every frequency alike, to 20/48 of the sample rate', () => {
    const worst = delays().map((d) => deviation(delayed(impulse(512), d), LATENCY + d, BAND));
    expect(Math.max(...worst.map((w) => w.dB))).toBeLessThan(0.05);
    expect(Math.max(...worst.map((w) => w.groupDelay))).toBeLessThan(1e-4);
    // Far better than the promise: the design puts the response's error at -134 dB.
    expect(Math.max(...worst.map((w) => w.response))).toBeLessThan(10 ** (-132 / 20));
  });

  it('reaches 20 kHz at 44.1 kHz too', () => {
    const worst = delays().map((d) => deviation(delayed(impulse(512), d), LATENCY + d, 20 / 44.1));
    expect(Math.max(...worst.map((w) => w.response))).toBeLessThan(INAUDIBLE);
  });

  it('moves a pulse known in closed form', () => {
    // The square of a sinc has a triangle for its spectrum, which ends at 0.4 cycles per sample.
    const pulse = (t: number) => (t === 0 ? 1 : (Math.sin(Math.PI * 0.4 * t) / (Math.PI * 0.4 * t)) ** 2);
    const at = 20_000.3; // far from the ends: the square of a sinc falls by 1/t^2
    const x = Float64Array.from({ length: 40_000 }, (_, n) => pulse(n - at));
    const worst = [0.1, 0.5, 0.9, 12.34].map((d) => {
      const expected = Float64Array.from({ length: 39_000 }, (_, n) => pulse(n + 1000 - at - LATENCY - d));
      return largestDifference(delayed(x, d).subarray(1000), expected);
    });
    expect(Math.max(...worst)).toBeLessThan(INAUDIBLE);
  });

  it('delays by whole samples bit for bit', () => {
    const x = bursts(2000, 1);
    x[600] = -0; // a sum of products would lose its sign
    for (const d of [0, 1, 47, 127, 128, 129, 1000]) {
      const y = delayed(x, d);
      expect(firstDifference(y.subarray(LATENCY + d), x.subarray(0, 2000 - LATENCY - d))).toBe(-1);
      expect(y.subarray(0, LATENCY + d).every((v) => v === 0)).toBe(true);
    }
  });

  it('there and back again is the same within -120 dB', () => {
    const x = bandLimited(4000, 5);
    for (const d of [0.001, 0.1, 0.37, 0.5, 0.8, 41.9]) {
      const whole = 2 * LATENCY + Math.ceil(d);
      const back = delayed(delayed(x, d), Math.ceil(d) - d);
      const error = largestDifference(back.subarray(whole + 200), x.subarray(200, 4000 - whole));
      expect(error / peak(x)).toBeLessThan(INAUDIBLE);
    }
  });

  it('states its latency, and the tail to the last tap', () => {
    const delay = new FractionalDelay(mono, { delaySamples: 12.5 });
    expect(delay.latencySamples).toBe(LATENCY);
    const [h] = render64(delay, [impulse(400)]);
    expect(h.findLastIndex((v) => v !== 0)).toBe(LATENCY + delay.tailSamples);
  });

  it('cross-fades to a new delay over 20 ms', () => {
    const x = noise(3000, 4);
    const delay = new FractionalDelay(mono, { delaySamples: 10.25 });
    render64(delay, [x.subarray(0, 1000)]);
    delay.set({ delaySamples: 200.6 });
    const [y] = render64(delay, [x.subarray(1000)]);
    const [before, after] = [delayed(x, 10.25), delayed(x, 200.6)];
    const expected = y.map((_, i) => {
      const w = i + 1 >= GLIDE ? 1 : 0.5 - 0.5 * Math.cos((Math.PI * (i + 1)) / GLIDE);
      return before[1000 + i] + w * (after[1000 + i] - before[1000 + i]);
    });
    expect(largestDifference(y, expected)).toBeLessThan(1e-14); // roundings of the weight
    expect(firstDifference(y.subarray(GLIDE), after.subarray(1000 + GLIDE))).toBe(-1);
  });

  /** Two more delays are set 300 and 600 samples into a fade; `at` is called before every piece of 100. */
  function setDuringFade(x: Float64Array, at: (delay: FractionalDelay, n: number) => FractionalDelay): Float64Array {
    let delay = new FractionalDelay(mono, { delaySamples: 10.25 });
    const y = new Float64Array(x.length);
    const plan: Record<number, number> = { 0: 20.5, 300: 777.7, 600: 30.75 };
    for (let n = 0; n < x.length; n += 100) {
      if (n in plan) delay.set({ delaySamples: plan[n] });
      delay = at(delay, n);
      y.set(render64(delay, [x.subarray(n, n + 100)])[0], n);
    }
    return y;
  }

  it('lets a running fade end, then fades to the latest delay', () => {
    const x = noise(3000, 6);
    const y = setDuringFade(x, (delay) => delay);
    const [a, b, c] = [10.25, 20.5, 30.75].map((d) => delayed(x, d));
    const weight = (i: number) => (i >= GLIDE ? 1 : 0.5 - 0.5 * Math.cos((Math.PI * i) / GLIDE));
    const expected = y.map((_, i) => {
      const [from, to, w] = i < GLIDE ? [a, b, weight(i + 1)] : [b, c, weight(i + 1 - GLIDE)];
      return from[i] + w * (to[i] - from[i]);
    });
    expect(largestDifference(y, expected)).toBeLessThan(1e-14);
  });

  it('goes on from a state saved while a third delay waits', () => {
    const x = noise(3000, 6);
    const moved = setDuringFade(x, (delay, n) => {
      if (n !== 700) return delay;
      const other = new FractionalDelay(mono, { delaySamples: 3.3 });
      restoreState(other, JSON.parse(JSON.stringify(saveState(delay))) as SavedState);
      return other;
    });
    expect(
      firstDifference(
        moved,
        setDuringFade(x, (delay) => delay),
      ),
    ).toBe(-1);
  });

  it('refuses a delay it holds no memory for', () => {
    const delay = new FractionalDelay(mono, { delaySamples: 100, maximumSamples: 100 });
    expect(() => delay.set({ delaySamples: 100.5 })).toThrow(
      'FractionalDelay: delaySamples must be 0 to 100 (maximumSamples), got 100.5',
    );
    expect(delay.values.delaySamples).toBe(100);
  });

  it('reads the longest delay right, fractional or whole, across the end of the ring', () => {
    const x = noise(2000, 8);
    for (const [maximumSamples, delaySamples] of [
      [100, 100],
      [100, 99.5],
      [1, 0.5],
      [0, 0],
    ]) {
      const [y] = render64(new FractionalDelay(mono, { delaySamples, maximumSamples }), [x]);
      expect(firstDifference(y, delayed(x, delaySamples))).toBe(-1);
    }
  });
});
