/**
 * Magnetisation of a material whose magnetic domains rub against each other, after Jiles and Atherton.
 *
 *     dM     1             D (L - M)                              L = L(H + alpha M),  Langevin's function
 *     -- = ----- ( --------------------------  + c L' ),          s = +1 while H rises, -1 while it falls
 *     dH   1 - alpha c L'    s k - alpha (L - M) / (1 - c)        D = 1 while M is on its way to L, else 0
 *
 * in units without dimension: M of the saturation magnetisation, H of the shape parameter a; so k stands for k/a and alpha
 * for alpha Ms / a. The equation has no time in it: M depends on the way of H, not on its speed. Between two samples H is
 * taken along a straight line, in steps of at most 1/4, each by the classical Runge-Kutta method. It is of fourth order,
 * which halving the step shows on a branch and beyond a turn; where M meets L the right-hand side has a kink.
 *
 * No input makes it unstable: as long as alpha < 0.45 (1 - c) k the right-hand side is never negative and finite, so M
 * moves with H, and it is held within the saturation. A leap over more than 8 units in one sample takes 32 longer steps.
 *
 * Source: D. C. Jiles, D. L. Atherton, "Theory of Ferromagnetic Hysteresis", Journal of Magnetism and Magnetic Materials
 * 61, 1986. In audio: J. Chowdhury, "Real-Time Physical Modelling for Analog Tape Machines", Proc. DAFx-19, 2019, whose
 * form with D this is; M. Holters, U. Zoelzer, "Circuit Simulation with Inductors and Transformers Based on the
 * Jiles-Atherton Model of Magnetization", Proc. DAFx-16, 2016. (Equations from memory.)
 *
 * @module
 */
import { requireRange } from '../core/check.ts';
import type { Part } from '../core/processor.ts';
import { LANGEVIN_END, LANGEVIN_KNOTS, langevinTable } from './langevin.ts';

/** The material. */
export interface Material {
  /** k, above 0: how firmly walls of domains are pinned; the half width of the loop, in units of a. */
  readonly pinning: number;
  /** c, 0 to 0.9: the share of the magnetisation that bends without friction. */
  readonly reversible: number;
  /** alpha, from 0 to below 0.45 (1 - c) k: how much magnetised domains help each other. */
  readonly coupling: number;
}

/** Order of constants of {@link Magnetisation.run}. */
export const PINNING = 0,
  REVERSIBLE = 1,
  COUPLING = 2;

const STEPS_PER_UNIT = 4;

/** One channel's material and what it remembers. */
export class Magnetisation implements Part {
  readonly state: readonly Float64Array[];
  readonly #memory = new Float64Array(2); // H and M of the last sample
  readonly #table: Float64Array;
  readonly #stepsPerUnit: number;

  /** @param table - of {@link langevinTable}, which channels may share */
  constructor(table: Float64Array, stepsPerUnit: number = STEPS_PER_UNIT) {
    this.#table = table;
    this.#stepsPerUnit = stepsPerUnit;
    this.state = [this.#memory];
  }

  /** Back to where it has never been magnetised. */
  reset(): void {
    this.#memory.fill(0);
  }

  /** Turns a field into the magnetisation that follows from it, in place; `k` begins with the three constants. */
  run(y: Float64Array, count: number, k: Float64Array): void {
    magnetiseInPlace(y, count, k, this.#memory, this.#table, this.#stepsPerUnit);
  }
}

/**
 * The magnetisation that a field leaves in a material never magnetised before, sample by sample.
 *
 * @param field - H in units of a
 * @param stepsPerUnit - steps of the solver per unit of H, at least one between samples and at most 32
 * @returns M, -1 to 1
 * @throws RangeError for a material in which domains help each other more than friction holds them
 */
export function magnetise(
  field: Float64Array,
  { pinning, reversible, coupling }: Material,
  stepsPerUnit: number = STEPS_PER_UNIT,
): Float64Array {
  requireRange('magnetise: pinning', pinning, 0.01, 100);
  requireRange('magnetise: reversible', reversible, 0, 0.9);
  requireRange('magnetise: coupling', coupling, 0, 0.45 * (1 - reversible) * pinning);
  const y = field.slice();
  new Magnetisation(langevinTable(), stepsPerUnit).run(y, y.length, Float64Array.of(pinning, reversible, coupling));
  return y;
}

function magnetiseInPlace(
  y: Float64Array,
  count: number,
  k: Float64Array,
  memory: Float64Array,
  table: Float64Array,
  stepsPerUnit: number,
): void {
  const pinning = k[0],
    reversible = k[1],
    coupling = k[2],
    help = coupling / (1 - reversible);
  let h = memory[0],
    m = memory[1];
  for (let i = 0; i < count; i++) {
    const way = y[i] - h,
      size = Math.abs(way);
    if (size > 0) {
      const friction = way > 0 ? pinning : -pinning;
      const steps = size * stepsPerUnit < 32 ? Math.ceil(size * stepsPerUnit) : 32;
      const step = way / steps;
      for (let n = 0; n < steps; n++) {
        const from = h + n * step;
        let slope = 0,
          sum = 0;
        // The four slopes of the classical method: at the start, twice in the middle, at the end.
        for (let stage = 0; stage < 4; stage++) {
          const share = stage === 0 ? 0 : stage === 3 ? step : step / 2;
          const magnetised = m + share * slope,
            x = from + share + coupling * magnetised,
            a = Math.abs(x);
          let value = 0,
            rise = 0;
          if (a < LANGEVIN_END) {
            const place = a * LANGEVIN_KNOTS,
              knot = place | 0,
              t = place - knot,
              at = 2 * knot;
            const v0 = table[at],
              s0 = table[at + 1],
              d = table[at + 2] - v0,
              s1 = table[at + 3];
            const c2 = 3 * d - 2 * s0 - s1,
              c3 = s0 + s1 - 2 * d;
            value = v0 + t * (s0 + t * (c2 + t * c3));
            rise = LANGEVIN_KNOTS * (s0 + t * (2 * c2 + 3 * t * c3));
          } else {
            value = 1 - 1 / a;
            rise = 1 / (a * a);
          }
          const missing = (x < 0 ? -value : value) - magnetised;
          const rubbing = missing * friction > 0 ? missing / (friction - help * missing) : 0;
          slope = (rubbing + reversible * rise) / (1 - coupling * reversible * rise);
          sum += stage === 0 || stage === 3 ? slope : 2 * slope;
        }
        m += (step * sum) / 6;
        m = m > 1 ? 1 : m < -1 ? -1 : m;
      }
    }
    h = y[i];
    y[i] = m;
  }
  memory[0] = h;
  memory[1] = m;
}
