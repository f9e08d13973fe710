/**
 * Noise of microphone and preamplifier: white up to the band limit of everything else.
 *
 * @module
 */
import { dbToGain } from '../core/decibels.ts';
import { Convolver } from './convolution.ts';
import type { MicrophoneName } from './names.ts';
import { bandLimitShape, SincKernel } from './sinc-kernel.ts';
import { noiseRandom } from './streams.ts';

/** Noise of `levelDb` RMS (re amplitude 1). */
export function microphoneNoise(
  frames: number,
  microphone: MicrophoneName,
  levelDb: number,
  seed: number,
): Float64Array {
  const kernel = new SincKernel(bandLimitShape).around(0);
  const energy = kernel.reduce((sum, tap) => sum + tap * tap, 0);
  const gain = dbToGain(levelDb) * Math.sqrt(3 / energy); // uniform numbers from -1 to 1 have a variance of 1/3
  const random = noiseRandom(seed, microphone);
  const white = new Float64Array(frames + kernel.length);
  for (let i = 0; i < white.length; i++) white[i] = gain * (2 * random.next() - 1);
  const convolver = new Convolver(kernel.length);
  const noise = new Float64Array(frames);
  convolver.addFiltered(white, convolver.spectrumOf(kernel), noise, -kernel.length);
  return noise;
}
