import { describe, expect, it } from 'vitest';
import { besselJ, membraneModes } from '../../src/simulation/membrane-modes.ts';
import { type MembraneSettings, membranePartials, strikeMembrane } from '../../src/simulation/membrane-voice.ts';
import { Random } from '../../src/core/random.ts';
import { besselByIntegral, powerSpectrum } from './measure.ts';

/** The n-th positive zero of J_m by bisection on Bessel's integral. */
function besselZero(order: number, n: number): number {
  let found = 0;
  for (let x = 0.5; ; x += 0.1) {
    if (besselByIntegral(order, x) * besselByIntegral(order, x + 0.1) > 0) continue;
    if (++found < n) continue;
    let [low, high] = [x, x + 0.1];
    for (let i = 0; i < 50; i++) {
      const middle = (low + high) / 2;
      if (besselByIntegral(order, low) * besselByIntegral(order, middle) > 0) low = middle;
      else high = middle;
    }
    return (low + high) / 2;
  }
}

describe('modes of the circular membrane', () => {
  const j01 = besselZero(0, 1);

  it('have frequencies in the ratio of the zeros of the Bessel functions', () => {
    const modes = membraneModes(0.3);
    let worst = 0;
    for (let m = 0; m < 8; m++) {
      for (let n = 1; n <= 4; n++) {
        worst = Math.max(worst, Math.abs(modes[4 * m + n - 1].ratio - besselZero(m, n) / j01));
      }
    }
    expect(modes).toHaveLength(32);
    expect(worst).toBeLessThan(1e-9);
  });

  it('begin 1, 1.593, 2.136, 2.295, 2.653, 2.917 (Morse & Ingard, section 5.2; from memory)', () => {
    const sorted = membraneModes(0.3).map((mode) => mode.ratio);
    const lowest = sorted.sort((a, b) => a - b).slice(0, 6);
    expect(lowest.map((ratio) => ratio.toFixed(3))).toEqual(['1.000', '1.593', '2.136', '2.295', '2.653', '2.917']);
  });

  it('are not excited on a nodal line: at the centre only those without diameters, on a nodal circle not that mode', () => {
    const centre = membraneModes(0);
    expect(centre.filter((mode) => Math.abs(mode.weight) > 1e-12)).toEqual(centre.slice(0, 4));
    const onCircle = membraneModes(j01 / besselZero(0, 2)); // the circle of mode (0,2)
    expect(Math.abs(onCircle[1].weight)).toBeLessThan(1e-9);
  });

  it('are weighted by J_m(j r) over |J_m+1(j)| and (1 + m)', () => {
    const r = 0.37;
    const zero = besselZero(3, 2);
    const expected = besselByIntegral(3, zero * r) / Math.abs(besselByIntegral(4, zero)) / 4;
    expect(membraneModes(r)[4 * 3 + 1].weight).toBeCloseTo(expected, 9);
  });

  it('use a Bessel series that equals Bessel integral within 1e-8 up to 22', () => {
    let worst = 0;
    for (let order = 0; order <= 8; order++) {
      for (let x = 0; x <= 22; x += 0.37) {
        worst = Math.max(worst, Math.abs(besselJ(order, x) - besselByIntegral(order, x)));
      }
    }
    expect(worst).toBeLessThan(1e-8);
  });
});

describe('a struck head', () => {
  const head: MembraneSettings = {
    fundamentalHz: 100,
    strikeRadius: 0.4,
    decaySeconds: 8, // narrow lines
    lossPerHz: 0,
    contactMs: 0.05,
    bendRatio: 0,
    bendMs: 50,
    click: [],
  };

  it('sounds at the Bessel ratios: lines of its spectrum within 0.1 Hz of each of the six lowest modes', () => {
    const sampleRateHz = 6000;
    const size = 65536;
    const spectrum = powerSpectrum(strikeMembrane(head, sampleRateHz, 1, new Random(1)).subarray(0, size), size);
    const j01 = besselZero(0, 1);
    for (const [m, n] of [
      [0, 1],
      [1, 1],
      [2, 1],
      [0, 2],
      [3, 1],
      [1, 2],
    ]) {
      const hz = (100 * besselZero(m, n)) / j01;
      const middle = Math.round((hz * size) / sampleRateHz);
      let top = middle - 20;
      for (let k = middle - 20; k <= middle + 20; k++) if (spectrum[k] > spectrum[top]) top = k;
      expect(Math.abs((top * sampleRateHz) / size - hz), `mode (${m},${n})`).toBeLessThan(0.1);
    }
  });

  it('rings 60 dB down in its decay time, higher modes sooner by their loss', () => {
    const lossy = { ...head, decaySeconds: 0.5, lossPerHz: 0.1, strikeRadius: 0 };
    const partials = membranePartials(lossy, 1);
    expect(partials[0].decaySeconds).toBe(0.5);
    const secondHz = (100 * besselZero(0, 2)) / besselZero(0, 1);
    expect(partials[1].decaySeconds).toBeCloseTo(1 / (2 + 0.1 * (secondHz - 100)), 6);
    // only the lowest mode is left after 0.2 s: 60 dB in 0.5 s from there
    const sound = strikeMembrane(lossy, 48000, 1, new Random(1));
    const peakAround = (seconds: number) => {
      const start = Math.round(seconds * 48000);
      return sound.subarray(start, start + 480).reduce((most, x) => Math.max(most, Math.abs(x)), 0);
    };
    expect(20 * Math.log10(peakAround(0.2) / peakAround(0.5))).toBeCloseTo(36, 1);
  });

  it('starts sharp and comes down: 1 + b v^2 exp(-t / tau) times the pitch', () => {
    const bent = { ...head, strikeRadius: 0, bendRatio: 0.2, bendMs: 100, fundamentalHz: 400, contactMs: 4 };
    const pitchAround = (velocity: number, seconds: number) => {
      const sound = strikeMembrane(bent, 48000, velocity, new Random(1));
      const crossings: number[] = [];
      for (let i = Math.round((seconds - 0.02) * 48000); i < (seconds + 0.02) * 48000; i++) {
        if (sound[i] < 0 && sound[i + 1] >= 0) crossings.push(i + sound[i] / (sound[i] - sound[i + 1]));
      }
      return (48000 * (crossings.length - 1)) / (crossings[crossings.length - 1] - crossings[0]);
    };
    // mean of exp(-t / tau) over the 40 ms around t is within 1 % of its middle
    expect(pitchAround(1, 0.05) / 400).toBeCloseTo(1 + 0.2 * Math.exp(-0.5), 2);
    expect(pitchAround(0.5, 0.05) / 400).toBeCloseTo(1 + 0.05 * Math.exp(-0.5), 2);
    expect(pitchAround(1, 1.5) / 400).toBeCloseTo(1, 3);
  });
});
