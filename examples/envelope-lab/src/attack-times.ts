/**
 * One number of milliseconds, three definitions of an attack time: what a compressor does that takes it as each of them.
 *
 *     63 %        the gain has gone 63.2 % of its way             time constant = t
 *     10-90 %     from 10 to 90 % of its way                      time constant = t / ln 9
 *     90 %        from the beginning to 90 % of its way           time constant = t / ln 10
 *
 * All three are the same curve at different speeds. The gains come out of the library's compressor, and the times are read
 * off them.
 *
 * @module
 */
import { timeConstantFromNinety, timeConstantFromRise } from 'batterhead/core';
import { Compressor } from 'batterhead/dynamics';
import { SAMPLE_RATE_HZ } from './signals.ts';

/** One definition, and what is measured of a compressor that follows it. */
export interface AttackTime {
  readonly name: string;
  /** What the library is given. */
  readonly attackMs: number;
  /** Share of the way that the gain has gone, 0 to 1, from the step on. */
  readonly gone: Float64Array;
  /** Time to 63.2 %, from 10 to 90 %, and to 90 %, in ms. */
  readonly measuredMs: readonly [to63: number, from10to90: number, to90: number];
}

const definitions: readonly (readonly [name: string, toTimeConstant: (ms: number) => number])[] = [
  ['63 %', (ms) => ms],
  ['10 to 90 %', timeConstantFromRise],
  ['90 %', timeConstantFromNinety],
];

/** How many times the asked time is shown. */
const SHOWN = 3;

/** The three compressors, asked for `timeMs`, 1 to 200. */
export function attackTimes(timeMs: number): AttackTime[] {
  const length = Math.ceil((SHOWN * timeMs * SAMPLE_RATE_HZ) / 1000);
  return definitions.map(([name, toTimeConstant]) => {
    const attackMs = toTimeConstant(timeMs);
    const gone = stepResponse(attackMs, length);
    const [at10, at63, at90] = [0.1, 1 - 1 / Math.E, 0.9].map((share) => timeOf(gone, share));
    return { name, attackMs, gone, measuredMs: [at63, at90 - at10, at90] };
  });
}

/** 20 dB over the threshold without end: the gain goes from 0 to -20 (1 - 1/ratio) dB. */
function stepResponse(attackMs: number, length: number): Float64Array {
  const format = { sampleRateHz: SAMPLE_RATE_HZ, channels: 1 };
  const compressor = new Compressor(format, { thresholdDb: -20, ratio: 2, kneeDb: 0, attackMs });
  const gainDb = new Float64Array(length);
  compressor.process([new Float64Array(length).fill(1)], [new Float64Array(length)], { trace: { gainDb: [gainDb] } });
  return gainDb.map((gain) => gain / -10);
}

/** When a rising curve passes a share, in ms, between two samples by a straight line; sample i is the state after i + 1. */
function timeOf(gone: Float64Array, share: number): number {
  const i = gone.findIndex((value) => value >= share);
  const before = i > 0 ? gone[i - 1] : 0;
  return (1000 * (i + (share - before) / (gone[i] - before))) / SAMPLE_RATE_HZ;
}
