import { describe, expect, it } from 'vitest';
import { absorption, combGain, echoEnergy } from '../../src/reverb/absorption.ts';
import reverb from '../vectors/reverb.json';

/** The vectors are printed with ten to twelve digits. */
const PRINTED = 1e-9;

describe('combGain', () => {
  it.each(reverb.comb_gain)('is $g for $tau_ms ms and $T60 s', ({ tau_ms, T60, g }) => {
    expect(Math.abs(combGain(tau_ms / 1000, T60) - g)).toBeLessThan(PRINTED);
  });

  it('falls by 60 dB when the loop has run for the decay time', () => {
    expect(combGain(0.04, 1) ** 25).toBeCloseTo(0.001, 12);
  });
});

describe('absorption', () => {
  it.each(reverb.one_pole_absorption)('for $tau s, $T0 s and $Tpi s is exact', ({ tau, T0, Tpi, g0, gpi, ...v }) => {
    const { gain, pole } = absorption(tau, T0, Tpi);
    expect(Math.abs(pole - v.p_exact_nyquist)).toBeLessThan(PRINTED);
    expect(Math.abs(gain / (1 - pole) - g0)).toBeLessThan(PRINTED); // at 0 Hz
    expect(Math.abs(gain / (1 + pole) - gpi)).toBeLessThan(PRINTED); // at half the sample rate
  });

  it('has no pole when all frequencies decay alike, and a pole below 0 when high ones last', () => {
    expect(absorption(0.03, 1, 1)).toEqual({ gain: combGain(0.03, 1), pole: 0 });
    expect(absorption(0.03, 1, 2).pole).toBeLessThan(0);
  });
});

describe('echoEnergy', () => {
  it.each([
    [0.03, 1, 1],
    [0.03, 0.3, 0.1],
    [0.045, 2, 0.4],
    [0.03, 0.5, 2],
  ])('is the energy of all echoes of a loop of %f s, %f s, %f s', (delay, low, high) => {
    // Echo k is the loop filter's response k times over: summed in the time domain.
    const { gain, pole } = absorption(delay, low, high);
    let echo = new Float64Array(2000);
    echo[0] = 1;
    let energy = 0;
    for (let k = 0; k < 1000; k++) {
      let f = 0;
      echo = echo.map((x) => (f = gain * x + pole * f));
      const added = echo.reduce((sum, x) => sum + x * x, 0);
      energy += added;
      if (added < 1e-16) break;
    }
    expect(echoEnergy({ gain, pole }) / energy).toBeCloseTo(1, 10);
  });
});
