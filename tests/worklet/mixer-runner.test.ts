/** A live mix is the rendered one: the same plan over the same recordings, quantum by quantum. */
import { describe, expect, it } from 'vitest';
import { arrayInput } from '../../src/mix/array-input.ts';
import { parsePlan } from '../../src/mix/parse-plan.ts';
import { demoPlan } from '../../src/node/demo-plan.ts';
import type { MixerSettings } from '../../src/worklet/messages.ts';
import { mixerLayout, readMixerMeters } from '../../src/worklet/mixer-meters.ts';
import { MixerRunner } from '../../src/worklet/mixer-runner.ts';
import { mix, RATE } from '../mix/mix-support.ts';
import { bursts, firstDifference, impulse, noise, sine } from '../support/signals.ts';

const FRAMES = 24_000;
const names = Object.keys((demoPlan as { inputs: object }).inputs);
/** Rounded, because a node's inputs are Float32. */
const recordings = names.map((_, i) => Float64Array.from(bursts(FRAMES, i + 1), Math.fround));

/** Moves in both directions, whole and in fractions, one turned round. */
const moves = {
  kickOut: { delaySamples: -21.4, polarity: 1 as const },
  snareBottom: { delaySamples: 13, polarity: -1 as const },
  tom2: { delaySamples: 140.7, polarity: 1 as const },
  overheadLeft: { delaySamples: -3, polarity: 1 as const },
};
const alignment = { moves, leadSamples: 69 };

const automation = [
  { target: 'channels.snareTop.chain[0].thresholdDb', sample: 5003, value: -50 },
  { target: 'buses.snare.sends[1].gainDb', sample: 7001, value: -3 },
  { target: 'channels.tom1.pan', sample: 7001, value: 0.9 },
  { target: 'buses.space.chain[0].mixPercent', sample: 9999, value: 60 },
  { target: 'mixBus.gainDb', sample: 15_000, value: -3 },
];
const plan = { ...demoPlan, automation };

const settings = (json: object, more: Partial<MixerSettings> = {}): MixerSettings => {
  const parsed = parsePlan({ version: 1, output: { file: 'mix.wav' }, ...json });
  return {
    plan: parsed,
    inputs: [...new Set(Object.values(parsed.channels).map(({ input }) => input))].map((name) => ({
      name,
      channels: 1,
    })),
    alignment: { moves: {}, leadSamples: 0 },
    impulses: {},
    startFrame: 0,
    ...more,
  };
};

interface Playing {
  readonly quantum?: number;
  readonly startFrame?: number;
  readonly before?: (frame: number) => void;
}

/** What an audio thread would play, from frame 0 of the context on. */
function play(
  runner: MixerRunner,
  inputs: readonly Float64Array[],
  frames: number,
  { quantum = 128, startFrame = 0, before }: Playing = {},
): Float32Array[] {
  const y = [new Float32Array(frames), new Float32Array(frames)];
  for (let frame = 0; frame < frames; frame += quantum) {
    before?.(frame);
    const end = Math.min(frames, frame + quantum);
    const quanta = inputs.map((x) => [
      Float32Array.from({ length: end - frame }, (_, i) => x[frame + i - startFrame] ?? 0),
    ]);
    runner.run(
      quanta,
      y.map((side) => side.subarray(frame, end)),
      frame,
    );
  }
  return y;
}

function rendered(json: object, inputs: readonly Float64Array[] = recordings, options = {}) {
  const sources = Object.fromEntries(names.map((name, i) => [name, arrayInput([inputs[i]], RATE)]));
  const { left, right, report } = mix(json, sources, options);
  return { sides: [left, right].map((x) => Float32Array.from(x)), report };
}

describe('mixer runner', () => {
  const { sides, report } = rendered(plan, recordings, { alignment: { ...alignment, pairs: [] } });

  it.each([
    [128, 0],
    [128, 12_345],
    [1000, 0],
    [48, 300],
  ])('plays, in quanta of %i from frame %i on, the samples that are rendered', (quantum, startFrame) => {
    const runner = new MixerRunner(settings(plan, { alignment, startFrame }), RATE);
    const late = runner.latencySamples - report.alignment.leadSamples + startFrame;
    const y = play(runner, recordings, late + FRAMES, { quantum, startFrame });
    for (const [c, side] of sides.entries()) {
      expect(side.some((value) => value > 0.1)).toBe(true);
      expect(firstDifference(y[c].subarray(late), side.subarray(0, FRAMES))).toBe(-1);
    }
    expect(runner.tailSamples).toBe(report.tailSamples);
  });

  it('takes by message what a plan has as automation, with and without meters', () => {
    for (const meters of [undefined, { everyFrames: 1024 }]) {
      const runner = new MixerRunner(settings(demoPlan, { alignment, meters }), RATE);
      const value = { block: 0, event: { name: 'thresholdDb', value: -50, band: -1, send: -1 } };
      const fader = { block: -1, event: { name: 'gainDb', value: -3, band: -1, send: 1 } };
      const before = (frame: number) => {
        if (frame === 4992) runner.setAt({ strip: 'channels.snareTop', frame: 5003, ...value });
        if (frame === 5120) runner.setAt({ strip: 'buses.snare', frame: 7001, ...fader });
      };
      const late = runner.latencySamples - alignment.leadSamples;
      const y = play(runner, recordings, late + FRAMES, { before });
      const expected = rendered({ ...demoPlan, automation: automation.slice(0, 2) }, recordings, {
        alignment: { ...alignment, pairs: [] },
      });
      for (const c of [0, 1]) {
        expect(firstDifference(y[c].subarray(late), expected.sides[c].subarray(0, FRAMES))).toBe(-1);
      }
    }
  });

  it('sets for the next frame that comes in what is late, in every block when that frame is there', () => {
    const json = {
      inputs: { a: { file: 'a.wav' } },
      channels: { a: { input: 'a', chain: [{ type: 'delay', delaySamples: 500 }, { type: 'gain' }] } },
    };
    const looked = { ...json, mixBus: { chain: [{ type: 'limiter', lookaheadMs: 5 }, { type: 'polarity' }] } };
    const runner = new MixerRunner(settings(looked), RATE);
    const late = runner.latencySamples;
    expect(late).toBeGreaterThan(0);
    const x = Float64Array.from({ length: 4000 }, () => 0.25);
    const y = play(runner, [x], 4000, {
      before: (frame) => {
        if (frame === 1024) {
          runner.setAt({
            strip: 'mixBus',
            block: 1,
            frame: 3,
            event: { name: 'inverted', value: true, band: -1, send: -1 },
          });
        }
      },
    });
    const gain = 0.25 * Math.SQRT1_2;
    expect(y[0][1024 + late - 1]).toBeCloseTo(gain, 6);
    expect(y[0][1024 + late]).toBeLessThan(gain); // the cross-fade of the polarity has begun
    expect(y[0][1024 + late + 960]).toBeCloseTo(-gain, 6);
  });

  it('hears impulse responses, and the channel of an input that the plan names', () => {
    const response = [impulse(300, 7, 0.5)];
    const json = {
      inputs: { a: { file: 'a.wav', channel: 1 }, hall: { file: 'hall.wav' } },
      channels: { a: { input: 'a', chain: [{ type: 'convolutionReverb', impulse: 'hall', normalised: false }] } },
    };
    const runner = new MixerRunner(
      settings(json, {
        inputs: [{ name: 'a', channels: 2 }],
        impulses: { hall: { channels: response, sampleRateHz: RATE } },
      }),
      RATE,
    );
    const x = noise(128);
    const y = [new Float32Array(128), new Float32Array(128)];
    runner.run([[new Float32Array(128), Float32Array.from(x)]], y, 0);
    for (const i of [0, 3, 120]) expect(y[0][i + 7]).toBeCloseTo(0.5 * Math.SQRT1_2 * x[i], 6);
  });

  it('is silent where nothing is connected', () => {
    const runner = new MixerRunner(settings(demoPlan), RATE);
    const y = [new Float32Array(128), new Float32Array(128)];
    runner.run(
      names.map(() => []),
      y,
      0,
    );
    expect(y.every((side) => side.every((v) => v === 0))).toBe(true);
  });
});

describe('meters of a mixer', () => {
  it('tell peaks behind the chains, gains of the blocks, and the peak of the mix', () => {
    const json = {
      inputs: { a: { file: 'a.wav' } },
      channels: {
        a: {
          input: 'a',
          output: 'bus',
          gainDb: -6,
          chain: [
            { type: 'gain', gainDb: -20 },
            { type: 'compressor', thresholdDb: -40, ratio: 4, attackMs: 0.1, makeupDb: 0 },
          ],
        },
      },
      buses: { bus: {} },
    };
    const one = settings(json, { meters: { everyFrames: 128 } });
    const runner = new MixerRunner(one, RATE);
    play(runner, [sine(9600, 1000, RATE)], 9600);
    const { frame, peak, strips } = readMixerMeters(runner.meters, mixerLayout(one.plan));
    expect(frame).toBe(9600);
    expect(Object.keys(strips)).toEqual(['channels.a', 'buses.bus', 'mixBus']);
    // Peak 0 dBFS, 20 dB down: 20 dB over the threshold, of which 4:1 leaves 5.
    expect(strips['channels.a'].blocks[0]).toEqual({ levelDb: -200, gainDb: 0 });
    expect(strips['channels.a'].blocks[1].levelDb).toBeCloseTo(-20, 1);
    expect(strips['channels.a'].blocks[1].gainDb).toBeGreaterThan(-15.1);
    expect(strips['channels.a'].blocks[1].gainDb).toBeLessThan(-12);
    expect(strips['channels.a'].peak).toBeLessThanOrEqual(0.1);
    // -6 dB by the fader, -3.01 dB by the pan law.
    expect(strips['buses.bus'].peak / strips['channels.a'].peak).toBeCloseTo(10 ** (-6 / 20) * Math.SQRT1_2, 3);
    expect(peak).toBeCloseTo(strips.mixBus.peak, 6);
  });
});
