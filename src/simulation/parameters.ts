/**
 * The numbers of a simulated kit: defaults and ranges.
 *
 * @module
 */
import type { ParameterOptions, ParameterTable } from '../core/parameters.ts';

/** Parameters of `simulateKit`. Levels are dBFS: amplitude 1 is 0 dB. */
export const simulationParameters = {
  /** Sample rate of everything. */
  sampleRateHz: { default: 48000, min: 44100, max: 192000 },
  /** The same seed is the same kit, player and noise, bit for bit. */
  seed: { default: 1, min: 0, max: 4294967295, integer: true },
  /** Quarter notes per minute. */
  tempoBpm: { default: 116, min: 40, max: 240 },
  /** Bars of four quarters, before one last stroke on the next. */
  bars: { default: 8, min: 1, max: 512, integer: true },
  /** Standard deviation of the player's timing; no stroke is out by more than three of them. */
  timingMs: { default: 4, min: 0, max: 20 },
  /** Standard deviation of the player's velocities, relative to what the pattern asks. */
  velocitySpread: { default: 0.06, min: 0, max: 0.5 },
  /** Time after the last stroke. */
  tailSeconds: { default: 2.5, min: 0, max: 10 },
  /** Temperature of the room, degrees Celsius: sets the speed of sound. */
  temperatureC: { default: 20, min: -10, max: 45 },
  /** Relative humidity of the room: sets the loss of high frequencies. */
  humidityPercent: { default: 50, min: 10, max: 100 },
  /** Peak that the loudest drum, struck once at velocity 1, reaches at every microphone. */
  peakDb: { default: -9, min: -60, max: 0 },
  /** RMS of the noise of every microphone. */
  noiseFloorDb: { default: -80, min: -200, max: -30 },
} as const satisfies ParameterTable;

/** Options of {@link simulateKit} that are numbers; {@link simulationParameters} gives defaults, ranges and units. */
export type SimulationParameters = ParameterOptions<typeof simulationParameters>;
