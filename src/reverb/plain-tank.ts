/**
 * Combs and allpasses of a Schroeder tank in plain loops.
 * @module
 */
import { BLOCK } from '../core/pieces.ts';
import type { TankDelays, TankLoops } from '../core/simd-kernels.ts';
import { AllpassChain, ALLPASSES_IN_CHAIN } from './allpass-chain.ts';
import { CombBank, COMBS_IN_BANK } from './comb-bank.ts';

/** The loops of one channel. */
export class PlainTank implements TankLoops {
  readonly state: readonly Float64Array[];
  readonly #banks: readonly CombBank[];
  readonly #allpasses: AllpassChain;
  readonly #direct: number;
  readonly #input = new Float64Array(BLOCK);

  constructor({ combs, allpasses }: TankDelays) {
    this.#banks = Array.from(
      { length: combs.length / COMBS_IN_BANK },
      (_, b) => new CombBank(combs.slice(b * COMBS_IN_BANK, (b + 1) * COMBS_IN_BANK)),
    );
    this.#allpasses = new AllpassChain(allpasses);
    this.#direct = Math.sqrt(combs.length);
    this.state = [...this.#banks, this.#allpasses].flatMap((part) => part.state);
  }

  reset(): void {
    for (const array of this.state) array.fill(0);
  }

  process(x: Float64Array, y: Float64Array, count: number, k: Float64Array, first: number): void {
    const banks = this.#banks,
      input = this.#input;
    const level = k[first],
      direct = this.#direct;
    for (let i = 0; i < count; i++) {
      input[i] = level * x[i];
      y[i] = direct * input[i];
    }
    let next = first + 1 + ALLPASSES_IN_CHAIN;
    for (let b = 0; b < banks.length; b++, next += 2 * COMBS_IN_BANK) banks[b].addTo(y, input, count, k, next);
    this.#allpasses.process(y, count, k, first + 1);
  }
}
