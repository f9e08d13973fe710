/**
 * Reverberation: delay loops of known decay, and the measurement of decay.
 *
 * @module
 */
export { absorption, type Absorption, combGain } from './absorption.ts';
export { Allpass } from './allpass.ts';
export { Comb } from './comb.ts';
export {
  ConvolutionReverb,
  type ConvolutionReverbOptions,
  convolutionReverbParameters,
  type ImpulseResponse,
} from './convolution-reverb.ts';
export {
  type DecayMeasures,
  type DecayOptions,
  decayParameters,
  measureDecay,
  measureOctaveDecays,
  type OctaveDecay,
} from './decay-measurement.ts';
export { type EchoDensity, echoDensity, type EchoDensityOptions, echoDensityParameters } from './echo-density.ts';
export { FeedbackNetwork, type NetworkSettings } from './feedback-network.ts';
export { FeedbackReverb, type FeedbackReverbOptions, feedbackReverbParameters } from './feedback-reverb.ts';
export { findNoiseFloor, type NoiseFloor } from './noise-floor.ts';
export { octaveBands, octaveCentresHz } from './octave-bands.ts';
export { nextPrime } from './primes.ts';
export { type Place, type Reflection, type RoomSize, shoeboxReflections } from './shoebox.ts';
export { SchroederReverb, type SchroederReverbOptions, schroederReverbParameters } from './schroeder-reverb.ts';
