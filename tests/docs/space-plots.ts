/** Pictures of the reverberators: how their energy decays, beside the decay that was asked for. */
import type { Processor } from '../../src/core/processor.ts';
import { decibelAxis, linearAxis } from '../../src/plots/axis.ts';
import { ConvolutionReverb } from '../../src/reverb/convolution-reverb.ts';
import { measureDecay } from '../../src/reverb/decay-measurement.ts';
import { FeedbackReverb } from '../../src/reverb/feedback-reverb.ts';
import { SchroederReverb } from '../../src/reverb/schroeder-reverb.ts';
import { decayingNoise } from '../support/decaying-noise.ts';
import { answer, type BlockPlot, mono, RATE, stereo } from './block-plot.ts';

const SECONDS = 1;

/** Energy that is still to come, in decibels of the whole (Schroeder 1965), every 10 ms. */
function decayPlot(title: string, block: Processor, allowedPercent: number): BlockPlot {
  const h = answer(block, [1].slice(0, block.format.channels - 1), 1.5 * RATE);
  let energy = 0;
  const left = new Float64Array(h.length);
  for (let n = h.length - 1; n >= 0; n--) left[n] = energy += h[n] * h[n];
  const seconds = Array.from({ length: 101 }, (_, i) => i / 100);
  const measured = seconds.map((t) => 10 * Math.log10(left[Math.round(t * RATE)] / left[0]));
  const start = h.findIndex((v) => v !== 0) / RATE;
  return {
    chart: {
      title,
      x: linearAxis({ label: 'Time (s)', from: 0, to: 1 }),
      y: decibelAxis({ label: 'Energy left (dB)', from: -60, to: 0 }),
      marks: [
        { kind: 'line', name: 'measured', x: seconds, y: measured },
        {
          kind: 'line',
          name: 'asked',
          x: seconds,
          y: seconds.map((t) => Math.min(0, (-60 * (t - start)) / SECONDS)),
          dash: 'dashed',
        },
      ],
    },
    distance: 100 * Math.abs(measureDecay(h, RATE).t30Seconds / SECONDS - 1),
    allowed: allowedPercent,
  };
}

const open = { preDelayMs: 0, highpassHz: 10, lowpassHz: 0.49 * RATE, mixPercent: 100 };
const even = {
  decay125HzPercent: 100,
  decay250HzPercent: 100,
  decay500HzPercent: 100,
  decay1000HzPercent: 100,
  decay2000HzPercent: 100,
  decay4000HzPercent: 100,
  decay8000HzPercent: 100,
};

/** Every reverberator with its picture; the distance is that of T30 in per cent. */
export const spacePlots: Readonly<Record<string, () => BlockPlot>> = {
  schroederReverb: () =>
    decayPlot(
      'Decay of one second, all frequencies alike',
      new SchroederReverb(mono, { ...open, decaySeconds: SECONDS, decayHighSeconds: SECONDS }),
      3,
    ),
  feedbackReverb: () =>
    decayPlot(
      'Decay of one second, all frequencies alike',
      new FeedbackReverb(stereo, { ...open, ...even, decaySeconds: SECONDS }),
      3,
    ),
  convolutionReverb: () =>
    decayPlot(
      'A measured room: here noise that decays in one second',
      new ConvolutionReverb(
        mono,
        { preDelayMs: 0, mixPercent: 100 },
        { sampleRateHz: RATE, channels: [decayingNoise(1.5 * RATE, RATE, 1, () => SECONDS)] },
      ),
      5,
    ),
};
