export type { PerMicrophone, PerPath } from './acoustics.ts';
export { type Air, airLossDbPerMetre, speedOfSound } from './air.ts';
export { defaultKitLayout, type KitLayout, microphoneTargets } from './layout.ts';
export type { DrumPlace, MicrophonePlace } from './microphone.ts';
export {
  type DrumName,
  drumNames,
  type MicrophoneName,
  microphoneNames,
  type StrokeName,
  strokeNames,
} from './names.ts';
export type { OneShot, OneShots } from './one-shots.ts';
export { type SimulationParameters, simulationParameters } from './parameters.ts';
export type { WantedStroke } from './require-options.ts';
export type { Room } from './room.ts';
export {
  type KitTruth,
  type SimulatedKit,
  simulateKit,
  type SimulateKitOptions,
  type TrueHit,
} from './simulate-kit.ts';
export type { Vector } from './vectors.ts';
