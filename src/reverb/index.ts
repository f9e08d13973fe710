/**
 * Reverberation: delay loops of known decay, and the measurement of decay.
 *
 * @module
 */
export { absorption, type Absorption, combGain } from './absorption.ts';
export { Allpass } from './allpass.ts';
export { Comb } from './comb.ts';
export { type DecayMeasures, measureDecay } from './decay-measurement.ts';
export { nextPrime } from './primes.ts';
export { SchroederReverb, type SchroederReverbOptions, schroederReverbParameters } from './schroeder-reverb.ts';
