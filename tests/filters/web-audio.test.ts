/**
 * The running sections against an independent engine: the BiquadFilterNode of node-web-audio-api, which implements the
 * Web Audio API 1.1 (W3C), section "Filter characteristics". There Q of a low-pass and a high-pass is in dB, and the
 * shelves have S = 1.
 */
import { OfflineAudioContext } from 'node-web-audio-api';
import { describe, expect, it } from 'vitest';
import { BiquadCascade } from '../../src/filters/biquad-cascade.ts';
import type { BiquadCoefficients } from '../../src/filters/biquad-coefficients.ts';
import { allpass, bandpass, highpass, lowpass, notch, peaking } from '../../src/filters/biquad-design.ts';
import { highShelf, lowShelf } from '../../src/filters/shelf-design.ts';
import { render } from '../support/processor-laws.ts';
import { largestDifference, noise, peak } from '../support/signals.ts';

interface Setting {
  readonly frequencyHz: number;
  readonly q: number;
  readonly gainDb: number;
}

type NodeType = 'lowpass' | 'highpass' | 'bandpass' | 'notch' | 'allpass' | 'peaking' | 'lowshelf' | 'highshelf';

const LENGTH = 4096;
const input = new Float32Array(noise(LENGTH, 12, 0.5));

async function filteredByNode(type: NodeType, sampleRateHz: number, { frequencyHz, q, gainDb }: Setting) {
  const context = new OfflineAudioContext(1, LENGTH, sampleRateHz);
  const buffer = context.createBuffer(1, LENGTH, sampleRateHz);
  buffer.copyToChannel(input, 0);
  const source = context.createBufferSource();
  source.buffer = buffer;
  const filter = context.createBiquadFilter();
  filter.type = type;
  filter.frequency.value = frequencyHz;
  filter.Q.value = q;
  filter.gain.value = gainDb;
  source.connect(filter).connect(context.destination);
  source.start();
  return (await context.startRendering()).getChannelData(0);
}

/** What the node computes, in our words. Its parameters are float32. */
const DESIGNS: Readonly<Record<NodeType, (rate: number, setting: Setting) => BiquadCoefficients>> = {
  lowpass: (sampleRateHz, { frequencyHz, q }) => lowpass({ sampleRateHz, frequencyHz, q: 10 ** (q / 20) }),
  highpass: (sampleRateHz, { frequencyHz, q }) => highpass({ sampleRateHz, frequencyHz, q: 10 ** (q / 20) }),
  bandpass: (sampleRateHz, { frequencyHz, q }) => bandpass({ sampleRateHz, frequencyHz, q }),
  notch: (sampleRateHz, { frequencyHz, q }) => notch({ sampleRateHz, frequencyHz, q }),
  allpass: (sampleRateHz, { frequencyHz, q }) => allpass({ sampleRateHz, frequencyHz, q }),
  peaking: (sampleRateHz, setting) => peaking({ sampleRateHz, ...setting }),
  lowshelf: (sampleRateHz, { frequencyHz, gainDb }) => lowShelf({ sampleRateHz, frequencyHz, gainDb, slope: 1 }),
  highshelf: (sampleRateHz, { frequencyHz, gainDb }) => highShelf({ sampleRateHz, frequencyHz, gainDb, slope: 1 }),
};

const SETTINGS: readonly Setting[] = [
  { frequencyHz: 100, q: 2, gainDb: 12 },
  { frequencyHz: 1000, q: 0.5, gainDb: -18 },
  { frequencyHz: 9000, q: 6, gainDb: 3 },
];

describe('BiquadCascade beside a BiquadFilterNode', () => {
  it.each(Object.keys(DESIGNS) as NodeType[])('gives the same samples: %s', async (type) => {
    for (const sampleRateHz of [44100, 48000, 96000]) {
      for (const setting of SETTINGS) {
        const expected = await filteredByNode(type, sampleRateHz, setting);
        const cascade = new BiquadCascade({ sampleRateHz, channels: 1 }, [DESIGNS[type](sampleRateHz, setting)]);
        const [output] = render(cascade, [input]);
        expect(peak(expected)).toBeGreaterThan(1e-3); // the node did run
        // Both write float32, whose last place at a peak of up to 4 is 2.4e-7.
        expect(largestDifference(output, expected)).toBeLessThan(1e-6);
      }
    }
  });
});
