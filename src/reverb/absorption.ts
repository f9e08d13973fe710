/**
 * Gains of a delay loop that make it decay in a given time.
 *
 * A loop of tau seconds that shall fall by 60 dB in T seconds needs, at every frequency, the gain
 *
 *     R(f) = 10^(-3 tau / T(f))
 *
 * With one pole in the loop, the time can be chosen at 0 Hz and at half the sample rate, exactly and for any delay:
 *
 *                gain                    R0 - Rn               2 R0 Rn
 *     G(z) = ------------,       pole = ---------,    gain = ---------,     R0 = R(0), Rn = R(sampleRate / 2)
 *            1 - pole z^-1               R0 + Rn               R0 + Rn
 *
 * Source: J.-M. Jot, A. Chaigne, "Digital Delay Networks for Designing Artificial Reverberators", AES 90th Convention,
 * 1991, preprint 3030, for R(f); J. O. Smith, "Physical Audio Signal Processing", "First-Order Delay-Filter Design",
 * for the pole. The formula also attributed to Jot, pole = (ln 10 / 4) lg(R0) (1 - T0^2 / Tn^2), is an approximation
 * for T0 near Tn: asked for 0.75 s at half the rate and 1.5 s at 0 Hz in a loop of 29.7 ms, it gives 0.60 s.
 *
 * @module
 */
import { pow } from '../core/maths.ts';

/** One-pole low-pass in a loop. */
export interface Absorption {
  /** Gain at 0 Hz. */
  readonly gain: number;
  /** Below 0 if high frequencies decay slower than low ones. */
  readonly pole: number;
}

/** Gain of a loop of `delaySeconds` that falls by 60 dB in `decaySeconds`; both above 0. */
export function combGain(delaySeconds: number, decaySeconds: number): number {
  return pow(10, (-3 * delaySeconds) / decaySeconds);
}

/** Filter of a loop of `delaySeconds` that falls by 60 dB in the given times at 0 Hz and at half the sample rate. */
export function absorption(delaySeconds: number, decayLowSeconds: number, decayHighSeconds: number): Absorption {
  const low = combGain(delaySeconds, decayLowSeconds),
    high = combGain(delaySeconds, decayHighSeconds);
  return { gain: (2 * low * high) / (low + high), pole: (low - high) / (low + high) };
}

/**
 * Energy of the echoes of a loop for an impulse of energy 1, the impulse itself not counted: the mean over frequency of
 * |G|^2 / (1 - |G|^2), which with one pole is gain^2 / ((1 - pole^2) sqrt((1 - R0^2)(1 - Rn^2))).
 */
export function echoEnergy({ gain, pole }: Absorption): number {
  const low = gain / (1 - pole),
    high = gain / (1 + pole);
  return (gain * gain) / ((1 - pole * pole) * Math.sqrt((1 - low * low) * (1 - high * high)));
}
