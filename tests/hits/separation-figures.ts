/**
 * Figures of a separation by projection: what part of an estimate comes from the drum, what from the others, and what from
 * neither.
 *
 *     estimate = P_drum + (P_all - P_drum) + (estimate - P_all)
 *                target   interference       artefacts
 *
 * P are least-squares projections on the true stems, each allowed a filter of some taps around 0.
 *
 * Source: E. Vincent, R. Gribonval, C. Fevotte, "Performance Measurement in Blind Audio Source Separation", IEEE Trans.
 * Audio, Speech, and Language Processing 14(4), 2006 (from memory).
 */

export interface SeparationFigures {
  /** Signal to interference. */
  readonly sirDb: number;
  /** Signal and interference to artefacts. */
  readonly sarDb: number;
}

const energy = (x: Float64Array) => x.reduce((sum, v) => sum + v * v, 0);

/** Measures any number of estimates against the same stems. */
export class SeparationMeter {
  readonly #all: Projection;
  readonly #drum: Projection;

  /** @param stems - that of the drum first; @param taps - of the filter that each may have, an even number */
  constructor(stems: readonly Float64Array[], taps: number) {
    this.#all = new Projection(stems, taps);
    this.#drum = new Projection(stems.slice(0, 1), taps);
  }

  measure(estimate: Float64Array): SeparationFigures {
    const all = this.#all.of(estimate),
      drum = this.#drum.of(estimate);
    const interference = all.map((v, n) => v - drum[n]),
      artefacts = all.map((v, n) => estimate[n] - v);
    return {
      sirDb: 10 * Math.log10(energy(drum) / energy(interference)),
      sarDb: 10 * Math.log10(energy(all) / energy(artefacts)),
    };
  }
}

/** Least squares on delayed stems, whose products are taken once. */
class Projection {
  readonly #stems: readonly Float64Array[];
  readonly #taps: number;
  readonly #factor: Float64Array[];

  constructor(stems: readonly Float64Array[], taps: number) {
    this.#stems = stems;
    this.#taps = taps;
    const size = stems.length * taps;
    const a = Array.from({ length: size }, () => new Float64Array(size));
    for (let s = 0; s < stems.length; s++) {
      for (let t = s; t < stems.length; t++) {
        // The products depend on the difference of the delays alone, but for the ends of the signals, which are silent.
        for (let lag = 1 - taps; lag < taps; lag++) {
          const value = product(stems[s], stems[t], lag);
          for (let d = Math.max(0, lag); d < Math.min(taps, taps + lag); d++) {
            a[s * taps + d - lag][t * taps + d] = value;
            a[t * taps + d][s * taps + d - lag] = value;
          }
        }
      }
    }
    for (let i = 0; i < size; i++) a[i][i] *= 1 + 1e-9;
    factorise(a);
    this.#factor = a;
  }

  of(x: Float64Array): Float64Array {
    const stems = this.#stems,
      taps = this.#taps,
      half = taps / 2;
    const b = Float64Array.from({ length: stems.length * taps }, (_, i) =>
      product(stems[Math.floor(i / taps)], x, half - (i % taps)),
    );
    const h = solve(this.#factor, b);
    const y = new Float64Array(x.length);
    h.forEach((weight, i) => {
      const stem = stems[Math.floor(i / taps)],
        shift = half - (i % taps);
      const to = Math.min(x.length, x.length - shift);
      for (let n = Math.max(0, -shift); n < to; n++) y[n] += weight * stem[n + shift];
    });
    return y;
  }
}

/** Sum over n of a[n + shift] b[n]. */
function product(a: Float64Array, b: Float64Array, shift: number): number {
  let sum = 0;
  const from = Math.max(0, -shift),
    to = Math.min(b.length, a.length - shift);
  for (let n = from; n < to; n++) sum += a[n + shift] * b[n];
  return sum;
}

/** Cholesky, in place. */
function factorise(a: Float64Array[]): void {
  const size = a.length;
  for (let j = 0; j < size; j++) {
    for (let i = j; i < size; i++) {
      let sum = a[i][j];
      for (let k = 0; k < j; k++) sum -= a[i][k] * a[j][k];
      a[i][j] = i === j ? Math.sqrt(sum) : sum / a[j][j];
    }
  }
}

function solve(a: readonly Float64Array[], b: Float64Array): Float64Array {
  const size = b.length;
  const x = b.slice();
  for (let i = 0; i < size; i++) {
    for (let k = 0; k < i; k++) x[i] -= a[i][k] * x[k];
    x[i] /= a[i][i];
  }
  for (let i = size - 1; i >= 0; i--) {
    for (let k = i + 1; k < size; k++) x[i] -= a[k][i] * x[k];
    x[i] /= a[i][i];
  }
  return x;
}
