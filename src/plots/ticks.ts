/**
 * Ticks: round numbers that divide an axis, and how they are written.
 *
 * Source: P. S. Heckbert, "Nice Numbers for Graph Labels", in A. S. Glassner (ed.), "Graphics Gems", Academic Press, 1990
 * (from memory).
 *
 * @module
 */
import { log10, pow } from '../core/maths.ts';

/** Where a line crosses an axis. */
export interface Tick {
  /** Position in the unit of the axis. */
  readonly value: number;
  /** What stands there; '' for a line without a number. */
  readonly text: string;
}

/** Steps between decades: every number of an axis is a whole multiple of its step. */
const NICE = [1, 2, 5, 10];

/** Steps of a level axis above 1 dB: halves and doubles of 6 dB. */
const DECIBEL_STEPS = [1, 2, 3, 6, 12, 24, 48];

/** Smallest nice step that divides `span` into at most `most` parts. */
export function niceStep(span: number, most: number): number {
  const decade = pow(10, Math.floor(log10(span / most)));
  return decade * (NICE.find((factor) => factor * decade * most >= span * (1 - 1e-9)) ?? 10);
}

/** The same for levels. */
export function decibelStep(span: number, most: number): number {
  const step = DECIBEL_STEPS.find((candidate) => candidate * most >= span);
  return step === undefined || span < most ? niceStep(span, most) : step;
}

/** Whole multiples of `step` from `from` to `to`, both included. */
export function multiples(step: number, from: number, to: number): Tick[] {
  const ticks: Tick[] = [];
  const digits = Math.max(0, Math.ceil(-log10(step) - 1e-9));
  for (let k = Math.ceil(from / step - 1e-9); k <= Math.floor(to / step + 1e-9); k++) {
    ticks.push({ value: k * step, text: numeral(k * step, digits) });
  }
  return ticks;
}

/** A number as it is set in type: with a true minus sign, and no minus before zero. */
export function numeral(value: number, digits: number): string {
  const text = Math.abs(value).toFixed(digits);
  return value < 0 && Number(text) !== 0 ? `\u{2212}${text}` : text;
}
