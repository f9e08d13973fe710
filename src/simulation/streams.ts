/**
 * Independent random numbers for every part of a simulation, so that one more ghost note does not change the crash.
 *
 * The generator takes 53 bits of seed: the user's 32, a family (player, a drum, a microphone) and a place in it.
 *
 * @module
 */
import { Random } from '../core/random.ts';
import { type DrumName, drumNames, type MicrophoneName, microphoneNames } from './names.ts';

const FAMILY_SIZE = 131072; // 2^17 places in each of 16 families: 21 bits beside the user's 32
const PLAYER_FAMILY = 8;
const NOISE_FAMILY = 9;

/** Timing and velocities. */
export function playerRandom(seed: number): Random {
  return randomOf(seed, PLAYER_FAMILY, 0);
}

/** One stroke: `index` counts the strokes on that drum from 0. */
export function strokeRandom(seed: number, drum: DrumName, index: number): Random {
  return randomOf(seed, drumNames.indexOf(drum), index % FAMILY_SIZE);
}

/** Noise of one microphone. */
export function noiseRandom(seed: number, microphone: MicrophoneName): Random {
  return randomOf(seed, NOISE_FAMILY, microphoneNames.indexOf(microphone));
}

function randomOf(seed: number, family: number, place: number): Random {
  return new Random((family * FAMILY_SIZE + place) * 4294967296 + seed);
}
