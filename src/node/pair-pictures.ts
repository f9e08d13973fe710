/**
 * Pictures of all pairs of microphones that an alignment has compared.
 * @module
 */
import { drawPair } from '../alignment/draw-pair.ts';
import type { InputAlignment } from '../mix/align-inputs.ts';
import type { MixInput } from '../mix/input-reader.ts';
import { inputSource } from '../mix/input-source.ts';
import type { MixPlan } from '../mix/plan.ts';
import type { DrawnPair } from '../report/report-html.ts';

/** Draws every pair before and after the moves. */
export function pairPictures(
  plan: MixPlan,
  inputs: Readonly<Record<string, MixInput>>,
  { pairs, moves }: InputAlignment,
  sampleRateHz: number,
): readonly DrawnPair[] {
  const source = (name: string) => inputSource(plan, inputs, name, sampleRateHz);
  return pairs.map((pair) => {
    const { reference, other } = pair;
    return {
      pair,
      svg: drawPair({ pair, reference: source(reference), other: source(other), moves, sampleRateHz }),
    };
  });
}
