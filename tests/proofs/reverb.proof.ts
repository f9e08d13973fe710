/** What the feedback reverb and the convolution reverb hold, measured; writes `docs/proofs/reverb.md`. */
import { cpuUsage } from 'node:process';
import { afterAll, describe, expect, it } from 'vitest';
import type { Processor } from '../../src/core/processor.ts';
import { ConvolutionReverb, convolutionReverbParameters } from '../../src/reverb/convolution-reverb.ts';
import { measureDecay, measureOctaveDecays } from '../../src/reverb/decay-measurement.ts';
import { echoDensity } from '../../src/reverb/echo-density.ts';
import { FeedbackNetwork } from '../../src/reverb/feedback-network.ts';
import { FeedbackReverb, type FeedbackReverbOptions } from '../../src/reverb/feedback-reverb.ts';
import { networkDelays } from '../../src/reverb/network-delays.ts';
import { octaveBands } from '../../src/reverb/octave-bands.ts';
import { SchroederReverb } from '../../src/reverb/schroeder-reverb.ts';
import { decayingNoise } from '../support/decaying-noise.ts';
import { impulseResponse } from '../support/impulse-response.ts';
import { render64 } from '../support/processor-laws.ts';
import { type ProofTable, writeProofPage } from '../support/proof-page.ts';
import { impulse, noise } from '../support/signals.ts';

const RATE = 48000;
const CENTRES = [125, 250, 500, 1000, 2000, 4000, 8000];
const stereo = { sampleRateHz: RATE, channels: 2 };
const open = { preDelayMs: 0, highpassHz: 10, lowpassHz: 0.49 * RATE };
/** A snare's room: common practice is a small live room of 0.4 to 1 s behind a pre-delay. */
const snareRoom = {
  lengthMetres: 5,
  widthMetres: 4,
  heightMetres: 3,
  decaySeconds: 0.8,
  earlyPercent: 25,
  highpassHz: 250,
};

const tables: ProofTable[] = [];
const percent = (ratio: number): string => `${(100 * (ratio - 1)).toFixed(2)} %`;
const mean = (values: readonly number[]): number => values.reduce((sum, v) => sum + v, 0) / values.length;
const energy = (x: Float64Array): number => x.reduce((sum, v) => sum + v * v, 0);

/** Decays in the bands as options: `decaySeconds` and a share for each. */
function decays(seconds: number, percents: readonly number[]): FeedbackReverbOptions {
  return Object.fromEntries([
    ['decaySeconds', seconds],
    ...CENTRES.map((hz, b) => [`decay${hz}HzPercent`, percents[b]]),
  ]) as FeedbackReverbOptions;
}

/** The designed course between the centres, on straight lines over log frequency; level beyond them. */
function course(seconds: number, percents: readonly number[]): (hz: number) => number {
  return (hz) => {
    const place = Math.min(6, Math.max(0, Math.log2(Math.max(hz, 1) / 125)));
    const band = Math.min(5, Math.floor(place)),
      share = place - band;
    return (seconds / 100) * percents[band] ** (1 - share) * percents[band + 1] ** share;
  };
}

describe('decay in octave bands', () => {
  const flat = [100, 100, 100, 100, 100, 100, 100];
  const falling = [125, 115, 105, 100, 92, 80, 66];
  const rows: string[][] = [];
  // Eight sizes of the room, as far apart as their delays allow.
  const sizes = Array.from({ length: 8 }, (_, s) => ({
    lengthMetres: 5 + 0.43 * s,
    widthMetres: 4.1 + 0.19 * s,
    heightMetres: 3,
  }));

  it.each([0.3, 0.6, 1, 2, 4].flatMap((seconds) => [flat, falling].map((percents) => ({ seconds, percents }))))(
    'is $seconds s times $percents %, within 5 % (10 % below 1 s)',
    ({ seconds, percents }) => {
      const length = (1.1 * seconds * Math.max(...percents)) / 100 + 0.1;
      const times = (h: Float64Array) =>
        measureOctaveDecays(h, RATE)
          .filter(({ centreHz }) => CENTRES.includes(centreHz))
          .map(({ t30Seconds }) => t30Seconds);
      const rooms = sizes.flatMap((size) => {
        const options = { ...open, ...size, ...decays(seconds, percents), earlyPercent: 0 };
        return impulseResponse(new FeedbackReverb(stereo, options), length).map(times);
      });
      const noises = rooms.map((_, s) =>
        times(decayingNoise(Math.ceil(length * RATE), RATE, 300 + s, course(seconds, percents))),
      );
      const ratios = CENTRES.map((_, b) => mean(rooms.map((t) => t[b])) / mean(noises.map((t) => t[b])));
      rows.push([`${seconds} s, ${percents.join(' ')} %`, ...ratios.map(percent)]);
      CENTRES.forEach((_, b) => {
        const tolerance = (seconds * percents[b]) / 100 >= 1 ? 0.05 : 0.1;
        expect(Math.abs(ratios[b] - 1)).toBeLessThan(tolerance);
      });
    },
  );

  afterAll(() => {
    tables.push({
      title: 'Decay in octave bands, against noise of the designed decay (T30, mean of 8 sizes, both channels)',
      header: ['designed', ...CENTRES.map((hz) => `${hz} Hz`)],
      rows,
    });
  });
});

describe('the network without loss', () => {
  it('keeps its energy for ten minutes within 0.01 dB, without modulation and with it', () => {
    const rows = [0, 0.2].map((modulationDepth) => {
      const room = { lengthMetres: 6, widthMetres: 4.5, heightMetres: 3 };
      const network = new FeedbackNetwork(networkDelays(16, room, RATE), 2, RATE);
      const decaysSeconds = CENTRES.map(() => Infinity);
      const k = Float64Array.from(network.design({ decaysSeconds, modulationDepth, modulationHz: 0.7 }));
      const x = [impulse(128), impulse(128)],
        y = [new Float64Array(128), new Float64Array(128)];
      network.process(x, y, 128, k, 0);
      const before = network.energy;
      for (const signal of x) signal.fill(0);
      for (let block = 1; block < (600 * RATE) / 128; block++) {
        network.onGrid(k, 0);
        network.process(x, y, 128, k, 0);
      }
      const moved = 10 * Math.log10(network.energy / before);
      expect(Math.abs(moved)).toBeLessThan(0.01);
      return [modulationDepth === 0 ? 'none' : '20 %, 0.7 Hz', moved.toExponential(2)];
    });
    tables.push({
      title: 'Energy in the lines ten minutes after an impulse, infinite decay',
      header: ['modulation', 'change in dB'],
      rows,
    });
  });
});

describe('density', () => {
  it('is at least 0.9 from 100 ms on in the room of a snare', () => {
    const near = (h: Float64Array, seconds: number): number => {
      const { timesSeconds, density } = echoDensity(h, RATE);
      return mean([...density].filter((_, w) => Math.abs(timesSeconds[w] - seconds) < 0.021));
    };
    const moments = [0.03, 0.05, 0.1, 0.15, 0.2, 0.3, 0.4, 0.5];
    const settings: Record<string, FeedbackReverbOptions> = {
      '16 lines': snareRoom,
      '8 lines': { ...snareRoom, lines: 8 },
      'without allpasses': { ...snareRoom, diffusionPercent: 0 },
    };
    const rows = Object.entries(settings).map(([name, options]) => {
      const responses = impulseResponse(new FeedbackReverb(stereo, { ...options, preDelayMs: 0 }), 0.6);
      const densities = moments.map((t) => Math.min(...responses.map((h) => near(h, t))));
      if (name === '16 lines') expect(Math.min(...densities.slice(2))).toBeGreaterThan(0.9);
      return [name, ...densities.map((d) => d.toFixed(2))];
    });
    tables.push({
      title: 'Normalised echo density, the lower of both channels, means over 40 ms',
      header: ['setting', ...moments.map((t) => `${1000 * t} ms`)],
      rows,
    });
  });
});

describe('mono', () => {
  it('loses at most 1 dB per octave band, for drums in the middle and on one side', () => {
    const sources: Record<string, readonly number[]> = { middle: [1, 1], left: [1, 0], right: [0, 1] };
    const rows = Object.entries(sources).map(([name, gains]) => {
      const sums = CENTRES.map(() => [0, 0]);
      for (let size = 0; size < 8; size++) {
        const processor = new FeedbackReverb(stereo, { ...snareRoom, ...open, lengthMetres: 4 + 0.37 * size });
        const responses = render64(
          processor,
          gains.map((gain) => impulse(1.2 * RATE, 0, gain)),
        );
        const mono = responses[0].map((v, n) => (v + responses[1][n]) * Math.SQRT1_2);
        const bands = [...responses, mono].map((h) => octaveBands(h, RATE, CENTRES));
        sums.forEach((sum, b) => {
          sum[0] += energy(bands[0][b]) + energy(bands[1][b]);
          sum[1] += 2 * energy(bands[2][b]);
        });
      }
      const losses = sums.map(([apart, together]) => 10 * Math.log10(together / apart));
      expect(Math.min(...losses)).toBeGreaterThan(-1);
      return [name, ...losses.map((db) => db.toFixed(2))];
    });
    tables.push({
      title: 'Mono sum (left + right) / sqrt 2 against the mean of left and right, dB, energies of 8 sizes',
      header: ['drum', ...CENTRES.map((hz) => `${hz} Hz`)],
      rows,
    });
  });
});

describe('sample rates', () => {
  it('decay alike within 1 %', () => {
    const rows = [22050, 44100, 48000, 96000, 192000].map((sampleRateHz) => {
      const times = [0, 1, 2, 3].flatMap((size) => {
        const options = { ...open, ...decays(0.8, [100, 100, 100, 100, 100, 100, 100]), earlyPercent: 0 };
        const room = { lengthMetres: 5 + 0.7 * size, lowpassHz: 8000 };
        const processor = new FeedbackReverb({ sampleRateHz, channels: 2 }, { ...options, ...room });
        return impulseResponse(processor, 1).map((h) => measureDecay(h, sampleRateHz).t30Seconds);
      });
      expect(Math.abs(mean(times) / 0.8 - 1)).toBeLessThan(0.01);
      return [`${sampleRateHz}`, percent(mean(times) / 0.8)];
    });
    tables.push({
      title: 'Decay of 0.8 s at other sample rates (T30, below 8 kHz, mean of 4 sizes)',
      header: ['Hz', 'off by'],
      rows,
    });
  });
});

describe('convolution', () => {
  it('equals direct convolution within 1e-10 for every partition size', () => {
    const sizes = convolutionReverbParameters.partitionSamples.choices;
    const rows = sizes.map((partitionSamples) => {
      const length = 2 * partitionSamples + 777,
        h = noise(length, 3),
        x = noise(length + 2 * partitionSamples + 999, 4);
      const worst = [true, false].map((zeroLatency) => {
        const options = { partitionSamples, zeroLatency, normalised: false };
        const processor = new ConvolutionReverb({ ...stereo, channels: 1 }, options, {
          channels: [h],
          sampleRateHz: RATE,
        });
        const [y] = render64(processor, [x]);
        let largest = 0;
        for (let n = 0; n < x.length - processor.latencySamples; n += 7) {
          let sum = 0;
          for (let k = Math.max(0, n - x.length + 1); k < length && k <= n; k++) sum += h[k] * x[n - k];
          largest = Math.max(largest, Math.abs(sum - y[n + processor.latencySamples]));
        }
        expect(largest).toBeLessThan(1e-10);
        return largest.toExponential(1);
      });
      return [partitionSamples, ...worst];
    });
    tables.push({
      title:
        'Largest difference from direct convolution: noise of amplitude 1 through noise of amplitude 1, every seventh sample',
      header: ['partition', 'zero latency', 'latency of a partition'],
      rows,
    });
  });
});

describe('cost', () => {
  it('is measured', () => {
    const response = { channels: [noise(2 * RATE, 1), noise(2 * RATE, 2)], sampleRateHz: RATE };
    const cases: readonly [string, Processor, number][] = [
      ['SchroederReverb, medium', new SchroederReverb(stereo), 16],
      ['FeedbackReverb, 16 lines', new FeedbackReverb(stereo), 16],
      ['FeedbackReverb, 16 lines, no modulation', new FeedbackReverb(stereo, { modulationPercent: 0 }), 16],
      ['FeedbackReverb, 8 lines', new FeedbackReverb(stereo, { lines: 8 }), 8],
      ['ConvolutionReverb, 2 s', new ConvolutionReverb(stereo, {}, response), NaN],
      ['ConvolutionReverb, 2 s, latency 2048', new ConvolutionReverb(stereo, { zeroLatency: false }, response), NaN],
    ];
    const rows = cases.map(([name, processor, lines]) => {
      const x = [0, 1].map((c) => Float32Array.from(noise(128, 5 + c)));
      const y = x.map((v) => v.slice());
      const run = (blocks: number) => {
        for (let b = 0; b < blocks; b++) processor.process(x, y);
      };
      run(4000);
      const before = cpuUsage();
      run(8000);
      const { user, system } = cpuUsage(before);
      const nsPerFrame = (1000 * (user + system)) / (8000 * 128);
      expect(nsPerFrame).toBeGreaterThan(0);
      return [name, nsPerFrame.toFixed(0), Number.isNaN(lines) ? '' : (nsPerFrame / lines).toFixed(1)];
    });
    tables.push({
      title: 'Cost, stereo, blocks of 128, CPU time on the machine that wrote this page: ratios count',
      header: ['processor', 'ns per frame', 'ns per frame and line'],
      rows,
    });
  });
});

afterAll(() => {
  writeProofPage(
    'reverb',
    'Reverberation',
    [
      'Decays are measured with the octave filter of `octaveBands` (Butterworth magnitude, three pairs of poles, no phase) and',
      'compared with the same measurement on noise of the designed decay, so that what the filter and the statistics of few',
      'samples do to both drops out. Asked were 5 % for decays of 1 s and more, 10 % below.',
    ].join('\n'),
    tables,
  );
});
