/** What is measured besides the blocks: the tools they are made of, meters, detection and alignment. */
import { estimateDelay } from '../src/alignment/delay-estimate.ts';
import { RealFft } from '../src/core/fft.ts';
import { sourceOf } from '../src/core/sample-source.ts';
import { BiquadCascade } from '../src/filters/biquad-cascade.ts';
import { peaking } from '../src/filters/biquad-design.ts';
import { Oversampler, type OversamplingFactor } from '../src/filters/oversampler.ts';
import { BleedReduction } from '../src/hits/bleed-reduction.ts';
import { detectHits } from '../src/hits/detect-hits.ts';
import { HitLayers } from '../src/hits/hit-layers.ts';
import { placeLayers } from '../src/hits/place-layers.ts';
import { LoudnessMeter } from '../src/meters/loudness.ts';
import { ProgrammeMeter } from '../src/meters/programme-meter.ts';
import { TruePeakMeter } from '../src/meters/true-peak.ts';
import { noise } from '../tests/support/signals.ts';
import { blockWork } from './block-work.ts';
import type { Work } from './contestant.ts';
import { liveWork } from './live-work.ts';
import { bareMixWork, mixWork, sessionJson } from './session.ts';
import { BLOCK, drumBlocks, drumSound, RATE_HZ } from './sound.ts';

const stereo = { sampleRateHz: RATE_HZ, channels: 2 };

function biquads(channels: number): Work {
  const sections = [100, 400, 1600, 6400].map((frequencyHz) =>
    peaking({ sampleRateHz: RATE_HZ, frequencyHz, gainDb: 3 }),
  );
  return blockWork(new BiquadCascade({ sampleRateHz: RATE_HZ, channels }, sections));
}

function oversampler(factor: OversamplingFactor): Work {
  const there = new Oversampler(factor);
  const blocks = drumBlocks(1);
  const x = new Float64Array(BLOCK);
  return {
    channels: 1,
    samplesPerTurn: BLOCK,
    turn: (index) => {
      x.set(blocks[index % blocks.length][0]);
      there.up(x, BLOCK);
      there.down(x, BLOCK);
    },
  };
}

function fft(size: number): Work {
  const transform = new RealFft(size);
  const x = drumSound(size, 1),
    re = new Float64Array(transform.bins),
    im = new Float64Array(transform.bins);
  return { channels: 1, samplesPerTurn: size, turn: () => transform.forward(x, re, im) };
}

/** The same sound 1234 samples later, with some of its own noise. */
function delayEstimate(seconds: number): Work {
  const frames = seconds * RATE_HZ;
  const reference = drumSound(frames, 1);
  const own = drumSound(frames, 2);
  const other = reference.map((_, n) => (n < 1234 ? 0 : reference[n - 1234]) + 0.1 * own[n]);
  const options = { sampleRateHz: RATE_HZ, maxDelayMs: 100 };
  return {
    channels: 1,
    samplesPerTurn: frames,
    turn: () => estimateDelay(reference, other, options),
  };
}

function detection(): Work {
  const frames = 10 * RATE_HZ;
  const microphones = (['kick', 'snare'] as const).map((drum, d) => ({
    drum,
    kind: drum,
    source: sourceOf(drumSound(frames, d + 1)),
  }));
  return { channels: microphones.length, samplesPerTurn: frames, turn: () => detectHits(microphones, RATE_HZ) };
}

const HITS = 400;

/** A hit every 60 ms, in place of the microphone; the time starts anew before the hits end. */
function samplesOnHits(): Work {
  const hits = Array.from({ length: HITS }, (_, h) => ({ sample: 2880 * h, velocity: 100, velocityDb: -6 }));
  const layers = [{ velocity: 100, samples: [drumSound(6000, 1)] }];
  const options = { mode: 'replace', maximumOffsetMs: 0 } as const;
  const layered = new HitLayers(placeLayers(RATE_HZ, sourceOf(new Float64Array(1)), hits, layers, options), 1);
  const { turn, ...work } = blockWork(layered);
  return {
    ...work,
    turn: (index) => {
      if ((index * BLOCK) % (HITS * 2880) < BLOCK) layered.reset();
      turn(index);
    },
  };
}

const MICROPHONES = 8;

/** Of one of eight microphones; counted for each of them. */
function bleedReduction(): Work {
  const frameSize = 512;
  const weights = () => noise(MICROPHONES * (frameSize / 2 + 1), 1, 0.1);
  const told = { drumFrames: 1, bleedFrames: 1, bleedDownDb: 0, drumChangeDb: 0 };
  const filter = { frameSize, target: 0, weights: { re: weights(), im: weights() }, ...told };
  return blockWork(new BleedReduction({ sampleRateHz: RATE_HZ, channels: MICROPHONES }, [filter]));
}

function meter(...meters: readonly { process(channels: readonly Float32Array[]): void }[]): Work {
  const blocks = drumBlocks(2);
  return {
    channels: 2,
    samplesPerTurn: BLOCK,
    turn: (index) => {
      for (const each of meters) each.process(blocks[index % blocks.length]);
    },
  };
}

/** How to make each. */
export const toolWorks: Readonly<Record<string, () => Work>> = {
  '4 biquads, mono': () => biquads(1),
  '4 biquads, stereo': () => biquads(2),
  'oversampler 2x': () => oversampler(2),
  'oversampler 4x': () => oversampler(4),
  'oversampler 8x': () => oversampler(8),
  'oversampler 16x': () => oversampler(16),
  'FFT of 2048': () => fft(2048),
  'FFT of 65536': () => fft(65536),
  'delay between two takes of 60 s': () => delayEstimate(60),
  'hit detection, 2 microphones': detection,
  'samples on hits': samplesOnHits,
  'bleed reduction': bleedReduction,
  'loudness and true peak': () => meter(new LoudnessMeter(stereo), new TruePeakMeter(stereo)),
  'all figures of a programme': () => meter(new ProgrammeMeter(stereo)),
  'track without blocks': () => bareMixWork('track'),
  'track with a send': () => bareMixWork('send'),
  'track with a bus': () => bareMixWork('bus'),
  'session, plain, per frame': () => mixWork(sessionJson(), 1, { simd: false }),
  'session, per frame': () => mixWork(sessionJson()),
  'session in blocks of 128, per frame': () => mixWork(sessionJson(), 1, { chunkFrames: BLOCK }),
  'session of 24 tracks live, per frame': () => liveWork(24),
};
