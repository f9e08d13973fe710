/**
 * Schroeder tank: parallel combs, then allpasses in series; the reverberation of one channel.
 *
 *                  +-> comb 1 -> +- \
 *                  +-> comb 2 -> +-  \
 *     x -> level --+      ...         + ---> 5 allpasses in series ---> y
 *                  +-> comb N -> +-  /
 *                  +----- sqrt(N) --+
 *
 * Every comb gives its echoes only, all of them on one line 10^(-3 t / T) that starts at the impulse. The impulse itself
 * passes beside them, sqrt(N) times: with the energy that N impulses have when they do not coincide. So the response
 * begins at once and decays along one exponential from its first moment.
 *
 * The energy of the response is level^2 times the sum of 1 + {@link echoEnergy} over the combs; `level` makes it 1. White
 * noise comes out as loud as it went in, however long the decay.
 *
 * Source: M. R. Schroeder, "Natural Sounding Artificial Reverberation", JAES 10(3), 1962. Path beside the combs, signs
 * and level are ours.
 *
 * @module
 */
import type { Part } from '../core/processor.ts';
import type { TankDelays, TankLoops } from '../core/simd-kernels.ts';
import { absorption, combGain, echoEnergy } from './absorption.ts';
import { PlainTank } from './plain-tank.ts';

/** Gain of the allpasses, unless the decay is so short that it must be less. */
const ALLPASS_GAIN = 0.65;

/** The reverberation of one channel. */
export class SchroederTank implements Part {
  readonly state: readonly Float64Array[];
  /** How many numbers `design` returns. */
  readonly constants: number;
  /** How much later than a comb's own -120 dB the response has fallen as far: a bound, in samples. */
  readonly tailSamples: number;
  readonly #combSeconds: readonly number[];
  readonly #allpassSeconds: readonly number[];
  readonly #loops: TankLoops;

  /** @param loops - loops of these delays that do the work in place of the plain ones; with the same bits */
  constructor(delays: TankDelays, sampleRateHz: number, loops: TankLoops = new PlainTank(delays)) {
    const seconds = (samples: number): number => samples / sampleRateHz;
    this.#combSeconds = delays.combs.map(seconds);
    this.#allpassSeconds = delays.allpasses.map(seconds);
    this.#loops = loops;
    this.state = loops.state;
    this.constants = 1 + delays.allpasses.length + 2 * delays.combs.length;
    this.tailSamples = Math.max(...delays.combs) + delays.allpasses.reduce((sum, delay) => sum + delay);
  }

  reset(): void {
    this.#loops.reset();
  }

  /** The constants of `process`: level, gains of the allpasses, gain and pole of every comb. */
  design(decaySeconds: number, decayHighSeconds: number): number[] {
    const filters = this.#combSeconds.map((delay) => absorption(delay, decaySeconds, decayHighSeconds));
    const energy = filters.reduce((sum, filter) => sum + 1 + echoEnergy(filter), 0);
    // An allpass rings on by itself: it must be gone in half the time of the combs.
    const shortest = Math.min(decaySeconds, decayHighSeconds) / 2;
    const gains = this.#allpassSeconds.map((delay) => Math.min(ALLPASS_GAIN, combGain(delay, shortest)));
    return [1 / Math.sqrt(energy), ...gains, ...filters.flatMap(({ gain, pole }) => [gain, pole])];
  }

  /** Writes the reverberation of `x[0 .. count)` to `y[0 .. count)`, with constants from index `first` of `k` on. */
  process(x: Float64Array, y: Float64Array, count: number, k: Float64Array, first: number): void {
    this.#loops.process(x, y, count, k, first);
  }
}
