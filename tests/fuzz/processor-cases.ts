/** Cases for processors: parameters, a signal, a cut into blocks and a sample rate, all drawn from the whole legal space. */
import fc from 'fast-check';
import { type BlockType, blockTypes } from '../../src/blocks/block-types.ts';
import { Chain } from '../../src/core/chain.ts';
import { Gain } from '../../src/core/gain.ts';
import type { SimdKernels } from '../../src/core/simd-kernels.ts';
import { equaliserBandParameters } from '../../src/filters/equaliser-bands.ts';
import { simdKernels } from '../../src/simd/simd-kernels.ts';
import { smoothDecays } from '../support/feedback-reverb-options.ts';
import { anyParameters } from '../support/processor-laws.ts';
import { type Draw, drawing, pick } from './mutations.ts';

/** What the cases of one processor found. */
export interface ProcessorCases {
  /** Without those refused. */
  readonly cases: number;
  /** Options that were drawn besides but do not fit together: the processor refused them in words. */
  readonly refused: number;
  /** Seeds of cases with a surprise; empty if all is well. At most ten. */
  readonly surprises: readonly string[];
}

const RATES = [22_050, 32_000, 44_100, 48_000, 88_200, 96_000, 176_400, 192_000];
const LONGEST = 400;
const MOST_SURPRISES = 10;

/** Noise, clicks, steps, silence, denormals, and what is no sample: one stretch after the other. */
function signal(draw: Draw, length: number, channels: number): Float64Array[] {
  return Array.from({ length: channels }, () => {
    const x = new Float64Array(length);
    for (let at = 0; at < length;) {
      const end = Math.min(length, at + 1 + draw(200)),
        kind = draw(7),
        level = 10 ** (-draw(8) + 1);
      for (; at < end; at++) {
        if (kind <= 1) x[at] = level * (2 * (draw(1e6) / 1e6) - 1);
        else if (kind === 2) x[at] = draw(40) === 0 ? level : 0;
        else if (kind === 3) x[at] = level;
        else if (kind === 4) x[at] = 1e-310 * draw(9);
        else if (kind === 5) x[at] = draw(30) === 0 ? pick(draw, [NaN, Infinity, -Infinity, 1e300, -1e7]) : 0.5;
      }
    }
    return x;
  });
}

/** Runs `input` through a processor in blocks of drawn lengths. */
function run(
  processor: ReturnType<BlockType['create']>,
  input: readonly Float64Array[],
  key: readonly Float64Array[] | undefined,
  draw?: Draw,
): Float64Array[] {
  const length = input[0].length;
  const output = input.map(() => new Float64Array(length));
  for (let start = 0; start < length;) {
    const end = draw ? Math.min(length, start + draw(draw(4) === 0 ? 300 : 20)) : length;
    processor.process(input, output, { start, end, ...(key && { key }) });
    start = end;
  }
  return output;
}

/** The first law that the outputs break, or undefined. */
function broken(whole: readonly Float64Array[], cut: readonly Float64Array[]): string | undefined {
  for (let c = 0; c < whole.length; c++) {
    for (let i = 0; i < whole[c].length; i++) {
      if (!Number.isFinite(whole[c][i])) return `sample ${i} of channel ${c} is ${whole[c][i]}`;
      if (!Object.is(whole[c][i], cut[c][i]))
        return `sample ${i} of channel ${c} depends on the cut: ${whole[c][i]}, ${cut[c][i]}`;
    }
  }
  return undefined;
}

/** Tries `count` cases of a block type; `FC_SEED` draws others. */
export function processorCases(name: string, count: number): ProcessorCases {
  const type = blockTypes[name];
  const { parameters, takesKey, takesBands, takesChains, takesImpulse } = type;
  const arrange = name === 'feedbackReverb' ? smoothDecays : (drawn: object) => drawn;
  const options = new Map(RATES.map((rate) => [rate, anyParameters(parameters, rate).map(arrange)]));
  const bands = new Map(RATES.map((rate) => [rate, anyParameters(equaliserBandParameters, rate)]));
  const drawnCase = fc.constantFrom(...RATES).chain((rate) =>
    fc.record({
      rate: fc.constant(rate),
      values: options.get(rate) as fc.Arbitrary<object>,
      bands: takesBands ? fc.array(bands.get(rate) as fc.Arbitrary<object>, { maxLength: 4 }) : fc.constant([]),
      seed: fc.integer({ min: 0, max: 2 ** 31 - 1 }),
    }),
  );
  let refused = 0;
  const surprises: string[] = [];
  fc.assert(
    fc.property(drawnCase, ({ rate, values, bands: drawnBands, seed }) => {
      const draw = drawing(seed);
      const channels = 1 + draw(2);
      const format = { sampleRateHz: rate, channels };
      const impulse = takesImpulse && {
        impulse: { channels: signal(draw, 1 + draw(300), 1).map(finite), sampleRateHz: rate },
      };
      const chains = takesChains ? 2 + draw(3) : 0;
      const create = (simd?: SimdKernels) =>
        type.create({ ...format, simd }, values, {
          bands: drawnBands,
          keyFilter: undefined,
          ...impulse,
          ...(takesChains && {
            inner: Array.from({ length: chains }, () => new Chain(format, [new Gain(format, { gainDb: -3 })])),
          }),
        });
      try {
        let processor;
        try {
          processor = create();
        } catch (error) {
          if (!(error instanceof RangeError)) throw error;
          refused++;
          fc.pre(false); // another one is drawn in its place
          return;
        }
        const length = 1 + draw(LONGEST),
          input = signal(draw, length, channels);
        const key = takesKey && draw(2) === 0 ? signal(draw, length, 1 + draw(2)) : undefined;
        const cut = run(processor, input, key, draw);
        processor.reset();
        const fault = broken(run(draw(4) === 0 ? create(simdKernels()) : processor, input, key), cut);
        if (fault) throw new Error(fault);
      } catch (error) {
        if (fc.PreconditionFailure.isFailure(error)) throw error;
        if (surprises.length < MOST_SURPRISES) {
          surprises.push(
            `seed ${seed}, ${rate} Hz, ${JSON.stringify(values)}, ${JSON.stringify(drawnBands)}: ${String(error)}`,
          );
        }
      }
    }),
    { numRuns: count },
  );
  return { cases: count, refused, surprises };
}

/** An impulse response has samples that are numbers. */
function finite(x: Float64Array): Float64Array {
  return x.map((value) => (Math.abs(value) <= 10 ? value : 0));
}
