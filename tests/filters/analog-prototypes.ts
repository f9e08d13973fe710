/**
 * The filters' analog prototypes, evaluated where the bilinear transform sends a digital frequency: an oracle that
 * shares no formula with the designs. Prototypes as printed in R. Bristow-Johnson, "Audio EQ Cookbook", W3C Note, 2021.
 */
import fc from 'fast-check';

/** A complex number. */
export interface Complex {
  re: number;
  im: number;
}

export const times = (a: Complex, b: Complex): Complex => ({
  re: a.re * b.re - a.im * b.im,
  im: a.re * b.im + a.im * b.re,
});
export const plus = (a: Complex, b: Complex): Complex => ({ re: a.re + b.re, im: a.im + b.im });
export const over = (a: Complex, b: Complex): Complex => {
  const power = b.re * b.re + b.im * b.im;
  return { re: (a.re * b.re + a.im * b.im) / power, im: (a.im * b.re - a.re * b.im) / power };
};
export const size = (a: Complex): number => Math.hypot(a.re, a.im);
export const decibels = (a: Complex): number => 20 * Math.log10(size(a));

/** Level and phase as a complex number. */
export const polar = (magnitudeDb: number, phaseRadians: number): Complex => ({
  re: 10 ** (magnitudeDb / 20) * Math.cos(phaseRadians),
  im: 10 ** (magnitudeDb / 20) * Math.sin(phaseRadians),
});

/** Numerator and denominator in s, constant term first. */
export type Prototype = [numerator: number[], denominator: number[]];

export const prototypes = {
  lowpass: (q: number): Prototype => [[1], [1, 1 / q, 1]],
  highpass: (q: number): Prototype => [
    [0, 0, 1],
    [1, 1 / q, 1],
  ],
  bandpass: (q: number): Prototype => [
    [0, 1 / q],
    [1, 1 / q, 1],
  ],
  bandpassConstantSkirt: (q: number): Prototype => [
    [0, 1],
    [1, 1 / q, 1],
  ],
  notch: (q: number): Prototype => [
    [1, 0, 1],
    [1, 1 / q, 1],
  ],
  allpass: (q: number): Prototype => [
    [1, -1 / q, 1],
    [1, 1 / q, 1],
  ],
  peaking: (q: number, gainDb: number): Prototype => {
    const a = 10 ** (gainDb / 40);
    return [
      [1, a / q, 1],
      [1, 1 / (a * q), 1],
    ];
  },
  lowShelf: (q: number, gainDb: number): Prototype => {
    const a = 10 ** (gainDb / 40);
    return [
      [a * a, (a * Math.sqrt(a)) / q, a],
      [1, Math.sqrt(a) / q, a],
    ];
  },
  highShelf: (q: number, gainDb: number): Prototype => {
    const a = 10 ** (gainDb / 40);
    return [
      [a, (a * Math.sqrt(a)) / q, a * a],
      [a, Math.sqrt(a) / q, 1],
    ];
  },
};

/** The frequency on the analog filter's axis, in units of its corner: prewarped by tan. */
export const warped = (frequencyHz: number, cornerHz: number, sampleRateHz: number): number =>
  Math.tan((Math.PI * frequencyHz) / sampleRateHz) / Math.tan((Math.PI * cornerHz) / sampleRateHz);

/** H(j ratio). */
export function analogResponse([numerator, denominator]: Prototype, ratio: number): Complex {
  const evaluate = (p: number[]): Complex => ({
    re: (p[0] ?? 0) - (p[2] ?? 0) * ratio * ratio,
    im: (p[1] ?? 0) * ratio,
  });
  return over(evaluate(numerator), evaluate(denominator));
}

/** Evenly in the logarithm. */
export const logUniform = (min: number, max: number): fc.Arbitrary<number> =>
  fc.double({ min: 0, max: 1, noNaN: true }).map((x) => min * (max / min) ** x);

/** A sample rate in use and a corner from 20 Hz to 0.49 of it. */
export const corners = (): fc.Arbitrary<{ sampleRateHz: number; frequencyHz: number }> =>
  fc
    .tuple(fc.constantFrom(44100, 48000, 88200, 96000, 192000), fc.double({ min: 0, max: 1, noNaN: true }))
    .map(([sampleRateHz, x]) => ({ sampleRateHz, frequencyHz: 20 * ((0.49 * sampleRateHz) / 20) ** x }));
