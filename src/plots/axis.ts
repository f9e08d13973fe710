/**
 * Axes: where a value stands between the two ends of a chart, and which round values are marked.
 *
 *     linear       (value - from) / (to - from)
 *     frequency    log(value / from) / log(to / from)
 *
 * @module
 */
import { requireInteger, requireRange } from '../core/check.ts';
import { log, pow } from '../core/maths.ts';
import { decibelStep, multiples, niceStep, type Tick } from './ticks.ts';

/** One direction of a chart. */
export interface Axis {
  /** What is shown, with its unit: `Level (dB)`. */
  readonly label: string;
  /** Left or lower end, in the unit of the axis. */
  readonly from: number;
  /** Right or upper end, in the unit of the axis. */
  readonly to: number;
  /** Marks on the axis. */
  readonly ticks: readonly Tick[];
  /** 0 at `from`, 1 at `to`; beyond them outside. */
  readonly position: (value: number) => number;
}

/** What an axis shows. */
export interface AxisOptions {
  /** With its unit: `Time (ms)`. */
  readonly label: string;
  /** Left or lower end, in the unit of the axis. */
  readonly from: number;
  /** Above `from`. */
  readonly to: number;
  /** Most parts that ticks divide the axis into, 1 to 50; 8 unless given. */
  readonly parts?: number;
}

/** Equal steps for equal differences. @throws RangeError unless `from` is below `to` and both are finite */
export function linearAxis(options: AxisOptions): Axis {
  return evenAxis('linearAxis', options, niceStep);
}

/** A level in dB, marked at multiples of 1, 2, 3, 6, 12 ... dB. @throws RangeError as {@link linearAxis} */
export function decibelAxis(options: AxisOptions): Axis {
  return evenAxis('decibelAxis', options, decibelStep);
}

/** Equal steps for equal ratios; 20 Hz to 20 kHz unless given. @throws RangeError unless 0 < `from` < `to` */
export function frequencyAxis(options: Partial<Omit<AxisOptions, 'parts'>> = {}): Axis {
  const { label = 'Frequency (Hz)', from = 20, to = 20_000 } = options;
  requireRange('frequencyAxis: from', from, 1e-3, 1e9);
  requireAbove('frequencyAxis', from, to);
  const octaves = log(to / from);
  return { label, from, to, ticks: frequencyTicks(from, to), position: (value) => log(value / from) / octaves };
}

function evenAxis(owner: string, options: AxisOptions, stepOf: (span: number, most: number) => number): Axis {
  const { label, from, to, parts = 8 } = options;
  requireRange(`${owner}: from`, from, -1e12, 1e12);
  requireAbove(owner, from, to);
  requireInteger(`${owner}: parts`, parts, 1, 50);
  const span = to - from;
  return {
    label,
    from,
    to,
    ticks: multiples(stepOf(span, parts), from, to),
    position: (value) => (value - from) / span,
  };
}

function requireAbove(owner: string, from: number, to: number): void {
  requireRange(`${owner}: to`, to, from, 1e12);
  if (!(to - from > 1e-9 * Math.max(Math.abs(from), Math.abs(to)))) {
    throw new RangeError(`${owner}: to must be above from, got ${to} and ${from}`);
  }
}

/** Every digit of every decade, with a number at 1, 2 and 5. */
function frequencyTicks(from: number, to: number): Tick[] {
  const ticks: Tick[] = [];
  for (let power = -3; power <= 9; power++) {
    for (let digit = 1; digit <= 9; digit++) {
      const value = digit * pow(10, power);
      if (value < from * (1 - 1e-9) || value > to * (1 + 1e-9)) continue;
      ticks.push({ value, text: [1, 2, 5].includes(digit) ? shortFrequency(digit, power) : '' });
    }
  }
  return ticks;
}

function shortFrequency(digit: number, power: number): string {
  if (power >= 6) return `${digit}${'0'.repeat(power - 6)}M`;
  if (power >= 3) return `${digit}${'0'.repeat(power - 3)}k`;
  return (digit * pow(10, power)).toFixed(Math.max(0, -power));
}
