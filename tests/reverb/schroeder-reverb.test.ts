import { describe } from 'vitest';
import { SchroederReverb, schroederReverbParameters } from '../../src/reverb/schroeder-reverb.ts';
import { obeysProcessorLaws } from '../support/processor-laws.ts';

const stereo = { sampleRateHz: 48000, channels: 2 };
const lively = { preDelayMs: 1, decaySeconds: 0.1, decayHighSeconds: 0.1, highpassHz: 1000, widthPercent: 50 };

describe('SchroederReverb', () => {
  obeysProcessorLaws(stereo, {
    create: (o) => new SchroederReverb(stereo, o),
    table: schroederReverbParameters,
    lively,
    runs: 6,
  });
});
