/**
 * Pan: where a strip stands between left and right, as a matrix of gains from its channels to left and right.
 *
 *     law -3 dB     cos, sin of (p + 1) pi / 4            keeps the power
 *     law -6 dB     (1 - p) / 2, (1 + p) / 2              keeps the mono sum
 *     law -4.5 dB   geometric mean of both                the usual compromise
 *
 * with p from -1 (left) to 1 (right); the law is named by its gain at the centre. Two channels are balanced instead: the
 * side that the strip moves away from is turned down along the law, the other stays. Width w scales the side signal:
 *
 *     left = (1 + w)/2 L + (1 - w)/2 R,    right = (1 - w)/2 L + (1 + w)/2 R
 *
 * Sources: the laws follow from constant power and constant sum; their names and the balance are common practice.
 *
 * @module
 */
import { refuse, requireInteger, requireRange } from '../core/check.ts';
import { cos } from '../core/maths.ts';
import { type MixPlan, planParameters, stripParameters } from './plan.ts';

/** A pan law, named by its gain at the centre. */
export type PanLaw = MixPlan['panLaw'];

/**
 * Gains to left and right of a single channel at `pan` (-1 to 1).
 *
 * @throws RangeError for a pan out of range or an unknown law, TypeError for a pan that is no number
 */
export function panGains(pan: number, law: PanLaw): readonly [left: number, right: number] {
  requirePan('panGains', pan, law);
  return [leftGain(pan, law), leftGain(-pan, law)];
}

/**
 * Gains from the channels of a strip (1 or 2) to left and right, row by row: `[left from 0, left from 1, right from 0,
 * right from 1]`, or `[left, right]` for a single channel, which has no width.
 *
 * @param pan - -1 to 1
 * @param widthPercent - 0 to 200
 * @throws RangeError for a value out of range or an unknown law, TypeError for what is no number
 */
export function panMatrix(channels: number, pan: number, widthPercent: number, law: PanLaw): readonly number[] {
  requireInteger('panMatrix: channels', channels, 1, 2);
  requirePan('panMatrix', pan, law);
  const { min, max } = stripParameters.widthPercent;
  requireRange('panMatrix: widthPercent', widthPercent, min, max);
  const left = leftGain(pan, law),
    right = leftGain(-pan, law);
  if (channels === 1) return [left, right];
  const centre = leftGain(0, law);
  const l = Math.min(1, left / centre),
    r = Math.min(1, right / centre);
  const near = (1 + widthPercent / 100) / 2,
    far = (1 - widthPercent / 100) / 2;
  return [l * near, l * far, r * far, r * near];
}

function leftGain(pan: number, law: PanLaw): number {
  const power = pan === 1 ? 0 : cos(((pan + 1) * Math.PI) / 4),
    sum = (1 - pan) / 2;
  return law === '-3 dB' ? power : law === '-6 dB' ? sum : Math.sqrt(power * sum);
}

function requirePan(owner: string, pan: number, law: PanLaw): void {
  const { min, max } = stripParameters.pan;
  requireRange(`${owner}: pan`, pan, min, max);
  const { choices } = planParameters.panLaw;
  if (!choices.includes(law)) refuse(`${owner}: law`, choices.join(' or '), law);
}
