/** The saturator's curves in the plainest words, and the harmonics of any curve by its Fourier integral. */

export const plainCurves = {
  tanh: Math.tanh,
  algebraic: (u: number) => u / Math.sqrt(1 + u ** 2),
  cubic: (u: number) => (Math.abs(u) < 1.5 ? u - (4 / 27) * u ** 3 : Math.sign(u)),
  uneven: (u: number) => (u < 0 ? 2 * Math.tanh(u / 2) : Math.tanh(u)),
};

/** Amplitudes of the harmonics 0 .. count of f(sin t): the trapezoid rule over a cycle, exact for what it can resolve. */
export function fourierHarmonics(f: (x: number) => number, count: number, points = 20_000): number[] {
  const y = Array.from({ length: points }, (_, i) => f(Math.sin((2 * Math.PI * i) / points)));
  return Array.from({ length: count + 1 }, (_, n) => {
    let [re, im] = [0, 0];
    for (let i = 0; i < points; i++) {
      const angle = (2 * Math.PI * ((n * i) % points)) / points;
      re += y[i] * Math.cos(angle);
      im += y[i] * Math.sin(angle);
    }
    return (Math.hypot(re, im) * (n === 0 ? 1 : 2)) / points;
  });
}

/**
 * Largest error of harmonics 1 .. n against expected ones, as a share of what is allowed: 0.01 dB, or -120 dB of the
 * fundamental where a harmonic all but vanishes.
 */
export function harmonicError(found: ArrayLike<number>, expected: readonly number[]): number {
  let worst = 0;
  for (let n = 1; n < expected.length; n++) {
    const allowed = Math.max((10 ** (0.01 / 20) - 1) * expected[n], 1e-6 * expected[1]);
    worst = Math.max(worst, Math.abs(found[n] - expected[n]) / allowed);
  }
  return worst;
}
