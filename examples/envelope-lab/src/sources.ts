/**
 * The sounds that the lab makes by itself. The kit is simulated once and then kept.
 * @module
 */
import { type SimulatedKit, simulateKit } from 'batterhead/simulation';
import type { Sound } from './render.ts';
import type { MicrophoneChoice, Settings } from './settings.ts';
import { makeSignal, SAMPLE_RATE_HZ } from './signals.ts';

/** One bar, and what rings on. */
const KIT = { sampleRateHz: SAMPLE_RATE_HZ, bars: 1, tailSeconds: 1 } as const;

let kit: SimulatedKit | undefined;

/** The sound that settings ask for; undefined for a file, which comes from outside. */
export function makeSound({ source, microphone, signal }: Settings): Sound | undefined {
  if (source === 'file') return undefined;
  const channels = source === 'kit' ? listen(microphone) : [makeSignal(source, signal)];
  return { sampleRateHz: SAMPLE_RATE_HZ, channels };
}

function listen(choice: MicrophoneChoice): Float32Array[] {
  kit ??= simulateKit(KIT);
  const { microphones } = kit;
  if (choice === 'overheads') return [microphones.overheadLeft, microphones.overheadRight].map(toFloat32);
  if (choice === 'rooms') return [microphones.roomLeft, microphones.roomRight].map(toFloat32);
  return [toFloat32(microphones[choice])];
}

function toFloat32(x: Float64Array): Float32Array {
  return Float32Array.from(x);
}
