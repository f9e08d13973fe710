/**
 * No processor, meter or live mix allocates while it runs: 60 000 blocks of 128 samples, after a warm-up, trigger no garbage collection.
 * The young generation has 1 MiB here, so 18 bytes per block would trigger one.
 *
 * Runs by itself, with `--expose-gc --max-semi-space-size=1`; the last line is `N passed, N failed`. Before it trusts a
 * zero, it shows that it would see an array view per block and a boxed number per block.
 */
import { execFile } from 'node:child_process';
import { availableParallelism } from 'node:os';
import { PerformanceObserver } from 'node:perf_hooks';
import { blockTypes } from '../../src/blocks/block-types.ts';
import { Bypass } from '../../src/core/bypass.ts';
import { Chain } from '../../src/core/chain.ts';
import type { Processor, StreamFormat } from '../../src/core/processor.ts';
import { sourceOf } from '../../src/core/sample-source.ts';
import { Compressor } from '../../src/dynamics/compressor.ts';
import { EnvelopeFollower } from '../../src/dynamics/envelope-follower.ts';
import { Gate } from '../../src/dynamics/gate.ts';
import { BiquadCascade } from '../../src/filters/biquad-cascade.ts';
import { Equaliser } from '../../src/filters/equaliser.ts';
import { peaking } from '../../src/filters/biquad-design.ts';
import { FractionalDelay } from '../../src/filters/fractional-delay.ts';
import { BleedReduction } from '../../src/hits/bleed-reduction.ts';
import { HitLayers } from '../../src/hits/hit-layers.ts';
import { placeLayers } from '../../src/hits/place-layers.ts';
import { CorrelationMeter } from '../../src/meters/correlation.ts';
import { parsePlan } from '../../src/mix/parse-plan.ts';
import { LevelMeter } from '../../src/meters/level-meter.ts';
import { SpectrumMeter } from '../../src/meters/spectrum.ts';
import { LoudnessMeter } from '../../src/meters/loudness.ts';
import { ProgrammeMeter } from '../../src/meters/programme-meter.ts';
import { TruePeakMeter } from '../../src/meters/true-peak.ts';
import { SchroederReverb } from '../../src/reverb/schroeder-reverb.ts';
import { MixerRunner } from '../../src/worklet/mixer-runner.ts';
import { SoftClipper } from '../../src/saturation/soft-clipper.ts';
import { simdKernels } from '../../src/simd/simd-kernels.ts';

declare const gc: () => void;

/** What is called rarely, the meters' transforms once in 64 blocks, is compiled late. */
const WARM_UP = { processor: 20_000, meter: 60_000 };
/** Processes that a case has at most: see `least`. */
const ATTEMPTS = 6;
const BLOCKS = 60_000;
const format: StreamFormat = { sampleRateHz: 48000, channels: 2 };

/** Garbage collections during the blocks of one processor. */
async function collections(run: (block: number) => void, warmUp: number): Promise<number> {
  for (let b = 0; b < warmUp; b++) run(b);
  gc();
  let seen = 0;
  const observer = new PerformanceObserver((list) => (seen += list.getEntries().length));
  observer.observe({ entryTypes: ['gc'] });
  for (let b = 0; b < BLOCKS; b++) run(b);
  await new Promise((resolve) => setTimeout(resolve, 5)); // the observer reports later
  observer.disconnect();
  return seen;
}

/** Sound for some blocks, then silence for some, so that both are covered. */
const block = () => [0, 1].map((c) => Float32Array.from({ length: 128 }, (_, i) => 0.9 * Math.sin(i * i + c)));
const loud = block();
const silent = [new Float32Array(128), new Float32Array(128)];
const output = [new Float32Array(128), new Float32Array(128)];

/** Now and then with a key and a trace, for those that have them. */
function runner(processor: Processor): (block: number) => void {
  const rows = () => [new Float64Array(128), new Float64Array(128)];
  const side = { key: processor.takesKey ? silent : undefined, trace: { levelDb: rows(), gainDb: rows() } };
  const [sound, silence, into] = [loud, silent, output].map((rows) => rows.slice(0, processor.format.channels));
  return (b) => {
    processor.process(b % 64 < 32 ? sound : silence, into, b % 3 === 0 ? side : undefined);
  };
}

/** What allocates, so that a zero can be trusted. */
const sink = { held: undefined as unknown };
const controls: Record<string, (block: number) => void> = {
  'an array view per block is seen': (b) => (sink.held = loud[0].subarray(b % 2)),
  'an object per block is seen': (b) => (sink.held = { b }),
};

const section = peaking({ sampleRateHz: 48000, frequencyHz: 100, q: 1, gainDb: 3 });
const bands = [
  { type: 'peaking', frequencyHz: 1000, gainDb: 3 },
  { type: 'highpass', order: 3 },
] as const;
/** Longer than a partition, so that all stages work. */
const impulse = { sampleRateHz: 48000, channels: [Float32Array.from({ length: 5000 }, (_, i) => Math.sin(i * i))] };
/** A hit every 60 ms, for as long as a case runs; the microphone is replaced in two bands. */
const placed = () => {
  const hits = Array.from({ length: 3600 }, (_, h) => ({ sample: 2880 * h, velocity: 100, velocityDb: -6 }));
  const layers = [{ velocity: 100, samples: [Float64Array.from({ length: 6000 }, (_, i) => Math.sin(i))] }];
  const options = { mode: 'replace', highBlendPercent: 50, maximumOffsetMs: 0 } as const;
  return placeLayers(48000, sourceOf(new Float64Array(1)), hits, layers, options);
};
const weights = () => Float64Array.from({ length: 2 * 257 }, (_, i) => Math.sin(i));
const told = { drumFrames: 1, bleedFrames: 1, bleedDownDb: 0, drumChangeDb: 0 };
const bleedFilter = { frameSize: 512, target: 0, weights: { re: weights(), im: weights() }, ...told };
const cases: Record<string, () => Processor> = {
  ...Object.fromEntries(
    Object.entries(blockTypes).map(([name, type]) => [
      name,
      () => type.create(format, {}, { bands, keyFilter: undefined, impulse }),
    ]),
  ),
  'gate, unlinked, look-ahead': () => blockTypes['gate'].create(format, { linkPercent: 30, lookaheadMs: 2 }, { bands }),
  'gate with a key filter': () =>
    blockTypes['gate'].create(format, {}, { bands, keyFilter: new BiquadCascade(format, [section]) }),
  'limiter of true peaks': () => blockTypes['limiter'].create(format, { truePeak: true }, { bands }),
  'compressor, rms, mixed': () =>
    blockTypes['compressor'].create(format, { detector: 'rms', mixPercent: 50, lookaheadMs: 1 }, { bands }),
  'compressor, slow release': () => blockTypes['compressor'].create(format, { slowReleaseMs: 500 }, { bands }),
  'expander, unlinked, look-ahead': () =>
    blockTypes['expander'].create(format, { linkPercent: 30, lookaheadMs: 2 }, { bands }),
  'transient shaper, unlinked': () =>
    blockTypes['transientShaper'].create(format, { attackDb: 6, sustainDb: -6, linkPercent: 30 }, { bands }),
  'dynamic band, unlinked': () =>
    blockTypes['dynamicBand'].create(format, { thresholdDb: -60, linkPercent: 30 }, { bands }),
  'feedback reverb, 8 lines, gated': () =>
    blockTypes['feedbackReverb'].create(format, { lines: 8, tail: 'gate', mixPercent: 50 }, { bands }),
  'chain with a key': () =>
    new Chain(format, [blockTypes['delay'].create(format, {}, { bands }), new Gate(format)], {
      channels: 2,
      listeners: [1],
    }),
  'band split of dynamics': () =>
    blockTypes['bandSplit'].create(
      format,
      {},
      { bands, inner: ['compressor', 'gate', 'limiter'].map((type) => blockTypes[type].create(format, {}, { bands })) },
    ),
  'hard clipper, first antiderivative': () =>
    blockTypes['hardClipper'].create(format, { driveDb: 6, antialiasing: 'firstAntiderivative' }, { bands }),
  'soft clipper, second antiderivative': () =>
    blockTypes['softClipper'].create(format, { driveDb: 6, antialiasing: 'secondAntiderivative' }, { bands }),
  'hard clipper, corner correction': () =>
    blockTypes['hardClipper'].create(format, { driveDb: 6, antialiasing: 'cornerCorrection' }, { bands }),
  'compressor, SIMD': () => new Compressor({ ...format, simd: simdKernels() }),
  'equaliser, SIMD': () => new Equaliser({ ...format, simd: simdKernels() }, [...bands, {}]),
  'equaliser, SIMD, mono': () => new Equaliser({ ...format, channels: 1, simd: simdKernels() }, [...bands, {}]),
  'soft clipper, SIMD': () => new SoftClipper({ ...format, simd: simdKernels() }, { driveDb: 6 }),
  'Schroeder reverb, SIMD': () => new SchroederReverb({ ...format, simd: simdKernels() }, { mixPercent: 50 }),
  'saturator, uneven': () =>
    blockTypes['saturator'].create(format, { curve: 'uneven', evenPercent: 50, mixPercent: 50 }, { bands }),
  'samples on hits': () => new HitLayers(placed(), 2),
  'bleed reduction': () => new BleedReduction(format, [bleedFilter]),
  biquadCascade: () => new BiquadCascade(format, [section]),
  envelopeFollower: () => new EnvelopeFollower(format),
  fractionalDelay: () => new FractionalDelay(format, { delaySamples: 10.5 }),
  bypass: () => new Bypass(blockTypes['limiter'].create(format, {}, { bands })),
  chain: () =>
    new Chain(format, [blockTypes['gain'].create(format, {}, { bands }), new Bypass(new EnvelopeFollower(format))]),
};

/** Meters take blocks in and give nothing out; all of them run in the last. */
const meters: Record<string, () => { process(channels: readonly Float32Array[]): void }> = {
  'meter of loudness': () => new LoudnessMeter(format),
  'meter of true peak': () => new TruePeakMeter(format),
  'meter of true peak by the table': () => new TruePeakMeter(format, { method: 'table' }),
  'meter of levels': () => new LevelMeter(format),
  'meter of correlation': () => new CorrelationMeter(format),
  'meter of a spectrum': () => new SpectrumMeter(format),
  'meter of a programme': () => new ProgrammeMeter(format),
};
const meterRunner = (meter: { process(channels: readonly Float32Array[]): void }) => (b: number) => {
  meter.process(b % 64 < 32 ? loud : silent);
};

/** A live mix: a key, a move by a fraction, a bus, a guarded send, meters. */
const mixPlan = {
  version: 1,
  inputs: { kick: { file: 'kick.wav' }, rooms: { file: 'rooms.wav' } },
  channels: {
    kick: { input: 'kick', chain: [{ type: 'gate', lookaheadMs: 2 }], sends: [{ to: 'space', highpassHz: 200 }] },
    rooms: { input: 'rooms', output: 'drums', chain: [{ type: 'compressor', key: 'kick' }] },
  },
  buses: { drums: { chain: [{ type: 'equaliser', bands }] }, space: { chain: [{ type: 'delay' }] } },
  mixBus: { chain: [{ type: 'limiter' }] },
  output: { file: 'mix.wav' },
};
const mixer = (): ((block: number) => void) => {
  const runner = new MixerRunner(
    {
      plan: parsePlan(mixPlan),
      inputs: [
        { name: 'kick', channels: 1 },
        { name: 'rooms', channels: 2 },
      ],
      alignment: { moves: { kick: { delaySamples: 10.5, polarity: -1 } }, leadSamples: 60 },
      impulses: {},
      startFrame: 0,
      meters: { everyFrames: 1024 },
    },
    48000,
  );
  const sounding = [[loud[0]], loud],
    pausing = [[silent[0]], silent];
  return (b) => runner.run(b % 64 < 32 ? sounding : pausing, output, 128 * b);
};
const mixers: Record<string, () => (block: number) => void> = { 'a live mix': mixer };

/** What a name stands for. */
function work(name: string): (block: number) => void {
  if (name in controls) return controls[name];
  if (name in mixers) return mixers[name]();
  return name in meters ? meterRunner(meters[name]()) : runner(cases[name]());
}

/** Runs one case and prints how many collections it saw. */
async function runCase(name: string): Promise<void> {
  console.log(await collections(work(name), name in meters ? WARM_UP.meter : WARM_UP.processor));
}

/** Collections in a process of its own: code that has seen other cases' objects is compiled otherwise. */
function count(name: string): Promise<number> {
  return new Promise((resolve) => {
    execFile(process.execPath, [...process.execArgv, process.argv[1], name], (error, stdout) => {
      resolve(error || stdout.trim() === '' ? NaN : Number(stdout));
    });
  });
}

/**
 * Fewest collections over some processes. When the engine compiles what, and so what it inlines, depends on time: code
 * that allocates does so in every process.
 */
async function least(name: string): Promise<number> {
  let seen = await count(name);
  if (name in controls) return seen;
  for (let again = 1; again < ATTEMPTS && seen > 0; again++) seen = Math.min(seen, await count(name));
  return seen;
}

/** Runs every case, one on each core. */
async function runAll(): Promise<void> {
  let failed = 0;
  const names = [...Object.keys(controls), ...Object.keys(cases), ...Object.keys(meters), ...Object.keys(mixers)];
  const waiting = [...names];
  const worker = async () => {
    for (let name = waiting.shift(); name !== undefined; name = waiting.shift()) {
      const seen = await least(name);
      if (name in controls ? seen > 0 : seen === 0) continue;
      failed++;
      console.log(`allocation: ${name}: FAILED, ${seen} garbage collections in ${BLOCKS} blocks`);
    }
  };
  await Promise.all(Array.from({ length: availableParallelism() }, worker));
  console.log(
    `allocation: ${names.length - Object.keys(controls).length} processors, meters and mixes, ${BLOCKS} blocks each`,
  );
  console.log(`${names.length - failed} passed, ${failed} failed`);
  process.exitCode = failed === 0 ? 0 : 1;
}

if (process.argv.length > 2) await runCase(process.argv[2]);
else await runAll();
