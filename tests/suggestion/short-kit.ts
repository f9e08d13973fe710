/** A short recording of every drum of the simulated kit, one after the other, for tests that have little time. */
import type { DrumName } from '../../src/simulation/names.ts';
import { type SimulatedKit, simulateKit } from '../../src/simulation/simulate-kit.ts';

const ORDER: readonly DrumName[] = ['kick', 'hat', 'snare', 'hat', 'tom1', 'tom2', 'ride', 'hat'];
const ROUNDS = 4;
/** From one stroke to the next. */
export const SECONDS_APART = 0.18;

export function shortKit(sampleRateHz = 48000): SimulatedKit {
  const strokes = Array.from({ length: ROUNDS }, (_, round) =>
    ORDER.map((drum, i) => ({
      drum,
      seconds: 0.25 + SECONDS_APART * (round * ORDER.length + i),
      velocity: round % 2 === 0 ? 0.9 : 0.7,
    })),
  ).flat();
  return simulateKit({ sampleRateHz, strokes, tailSeconds: 0.5 });
}
