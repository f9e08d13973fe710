/**
 * Ways to run a clipping curve over one channel at the high rate.
 *
 *     none                   y = c f(g x)                              late by 0 samples of the high rate
 *     firstAntiderivative    the mean of f between neighbours          see `antiderivative-form.ts`
 *     secondAntiderivative   a weighted mean over three neighbours     see `antiderivative-form.ts`
 *     cornerCorrection       f, its corners rounded off                see `corner-correction.ts`
 *
 * @module
 */
import type { ChoiceRow } from '../core/parameters.ts';
import { AntiderivativeForm } from './antiderivative-form.ts';
import type { ClippingCurve, Shaping } from './clipping-curve.ts';
import { CornerCorrection } from './corner-correction.ts';

/** Row of a clipper's table. */
export const antialiasingRow = {
  default: 'none',
  choices: ['none', 'firstAntiderivative', 'secondAntiderivative', 'cornerCorrection'],
  fixed: true,
} as const satisfies ChoiceRow;

/** @param longest - samples that one call may bring */
export function createShaping(
  antialiasing: (typeof antialiasingRow.choices)[number],
  curve: ClippingCurve,
  factor: number,
  longest: number,
): Shaping {
  switch (antialiasing) {
    case 'none':
      return { state: [], reset: () => {}, latencySamples: 0, run: curve.inPlace };
    case 'cornerCorrection':
      return new CornerCorrection(curve, longest);
    default:
      return new AntiderivativeForm(curve, antialiasing === 'firstAntiderivative' ? 1 : 2, factor, longest);
  }
}
