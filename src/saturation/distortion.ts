/**
 * Distortion of any curve or processor, by whole cycles of sines and an FFT.
 *
 *     harmonics          a sine in, amplitudes a1, a2, a3 ... at multiples of its frequency out
 *     THD                sqrt(a2^2 + a3^2 + ...) / a1
 *     intermodulation    a low and a high sine in; what stands beside the high one out:
 *                        second = (a(fh - fl) + a(fh + fl)) / a(fh),   third = (a(fh - 2 fl) + a(fh + 2 fl)) / a(fh)
 *
 * All frequencies are whole cycles in 65536 samples, so that no line leaks into another. A processor is reset, hears the
 * tones twice, and is measured the second time, on its first channel: it must have settled by then. A curve is measured on one cycle of the lowest tone.
 *
 * Source: modulation distortion of the n-th order as in IEC 60268-3 (from memory), with its usual 60 Hz and 7 kHz, 4 : 1.
 *
 * @module
 */
import { requireInteger, requireRange } from '../core/check.ts';
import { dbToGain } from '../core/decibels.ts';
import { RealFft } from '../core/fft.ts';
import { cosOfTurns } from '../core/maths.ts';
import type { Processor } from '../core/processor.ts';

const POINTS = 65_536;

/** What can be measured: a processor, or a curve from sample to sample. */
export type Nonlinearity = Processor | ((sample: number) => number);

/** A tone to measure with. */
export interface HarmonicsOptions {
  /** Peak level of the sine, -120 to 60 dBFS; 0 unless given. */
  readonly levelDb?: number;
  /** Frequency for a processor, 20 Hz to a quarter of its sample rate; 997 Hz unless given. Taken to the nearest one that fits. */
  readonly frequencyHz?: number;
  /** How many harmonics, 1 to 1000; 15 unless given. Those above half the sample rate are 0. */
  readonly count?: number;
}

/** Amplitudes of the harmonics of a sine: [0] is the offset, [1] the fundamental, and so on. */
export function measureHarmonics(device: Nonlinearity, options: HarmonicsOptions = {}): Float64Array {
  const { levelDb = 0, frequencyHz = 997, count = 15 } = options;
  const amplitude = dbToGain(requireRange('measureHarmonics: levelDb', levelDb, -120, 60));
  requireInteger('measureHarmonics: count', count, 1, 1000);
  const cycles = cyclesOf('measureHarmonics: frequencyHz', device, frequencyHz, 1);
  const lines = response(device, [{ cycles, amplitude }]);
  return Float64Array.from({ length: count + 1 }, (_, n) => lines[n * cycles] ?? 0);
}

/** Root of the summed squares of all harmonics over the fundamental, from {@link measureHarmonics}; 0.01 is 1 %. */
export function totalHarmonicDistortion(harmonics: Float64Array): number {
  return Math.sqrt(harmonics.slice(2).reduce((sum, a) => sum + a * a, 0)) / harmonics[1];
}

/** Two tones to measure with. */
export interface IntermodulationOptions {
  /** Peak level of the sum, -120 to 60 dBFS; 0 unless given. */
  readonly levelDb?: number;
  /** Low tone, 20 Hz up to a twentieth of the high one; 60 Hz unless given. */
  readonly lowHz?: number;
  /** High tone, up to a quarter of a processor's sample rate; 7000 Hz unless given. */
  readonly highHz?: number;
  /** Low over high tone, -40 to 40 dB; 12.04 dB, which is 4 : 1, unless given. */
  readonly ratioDb?: number;
}

/** Modulation distortion as shares of the amplitude of the high tone: 0.01 is 1 %. */
export interface IntermodulationShares {
  /** Of second order: the lines one low frequency away. */
  readonly second: number;
  /** Of third order: the lines two low frequencies away. */
  readonly third: number;
}

/** Modulation distortion of second and third order, as shares of the high tone. */
export function measureIntermodulation(
  device: Nonlinearity,
  options: IntermodulationOptions = {},
): IntermodulationShares {
  const { levelDb = 0, lowHz = 60, highHz = 7000, ratioDb = 12.041199826559248 } = options;
  const peak = dbToGain(requireRange('measureIntermodulation: levelDb', levelDb, -120, 60));
  const ratio = dbToGain(requireRange('measureIntermodulation: ratioDb', ratioDb, -40, 40));
  requireRange('measureIntermodulation: lowHz', lowHz, 20, highHz / 20);
  const low = cyclesOf('measureIntermodulation: lowHz', device, lowHz, 1);
  const high = cyclesOf('measureIntermodulation: highHz', device, highHz, Math.round(highHz / lowHz));
  const lines = response(device, [
    { cycles: low, amplitude: (peak * ratio) / (1 + ratio) },
    { cycles: high, amplitude: peak / (1 + ratio) },
  ]);
  const beside = (n: number): number => (lines[high - n * low] + lines[high + n * low]) / lines[high];
  return { second: beside(1), third: beside(2) };
}

/** Whole cycles nearest to a frequency, at the sample rate of a processor; `cycles` for a curve. */
function cyclesOf(name: string, device: Nonlinearity, frequencyHz: number, cycles: number): number {
  if (typeof device === 'function') return cycles;
  const { sampleRateHz } = device.format;
  return Math.round((requireRange(name, frequencyHz, 20, sampleRateHz / 4) * POINTS) / sampleRateHz);
}

/** Amplitude of every line of the response to the tones. */
function response(device: Nonlinearity, tones: readonly { cycles: number; amplitude: number }[]): Float64Array {
  const x = Float64Array.from({ length: POINTS }, (_, i) =>
    tones.reduce((sum, { cycles, amplitude }) => sum + amplitude * cosOfTurns((cycles * i) / POINTS - 0.25), 0),
  );
  const re = new Float64Array(POINTS / 2 + 1),
    im = new Float64Array(POINTS / 2 + 1);
  new RealFft(POINTS).forward(typeof device === 'function' ? x.map(device) : steady(device, x), re, im);
  return re.map((r, n) => (Math.sqrt(r * r + im[n] * im[n]) * (n === 0 ? 1 : 2)) / POINTS);
}

/** What a processor makes of a periodic signal once it has heard it. */
function steady(processor: Processor, x: Float64Array): Float64Array {
  const input = Array.from({ length: processor.format.channels }, () => x);
  const output = input.map(() => new Float64Array(x.length));
  processor.reset();
  for (let pass = 0; pass < 2; pass++) processor.process(input, output);
  return output[0];
}
