import { Ajv2020 } from 'ajv/dist/2020.js';
import { beforeAll, describe, expect, it } from 'vitest';
import { applyAlignment } from '../../src/alignment/apply-alignment.ts';
import { alignInputs } from '../../src/mix/align-inputs.ts';
import { alignmentReport } from '../../src/mix/alignment-report.ts';
import type { MixInput } from '../../src/mix/input-reader.ts';
import { parsePlan } from '../../src/mix/parse-plan.ts';
import { mixPlanSchema } from '../../src/mix/plan-schema.ts';
import { simulateKit, type SimulatedKit } from '../../src/simulation/simulate-kit.ts';
import { firstDifference, noise } from '../support/signals.ts';
import { mix, recording } from './mix-support.ts';

const inputs = { top: { file: 'top.wav' }, bottom: { file: 'bottom.wav' }, left: { file: 'left.wav' } };
const planWith = (alignment: unknown) => ({
  version: 1,
  inputs,
  alignment,
  channels: { top: { input: 'top', pan: -1 } },
  output: { file: 'mix.wav' },
});

describe('the alignment of a plan', () => {
  const whole = {
    method: 'overheadsToDrum',
    drum: 'snare',
    maxMoveMs: 10,
    drums: { snare: ['top', 'bottom'] },
    overheads: ['left'],
    moves: { bottom: { delaySamples: -2.5, polarity: -1 }, left: {} },
  };

  it('moves nothing when there is none, and has defaults when there is', () => {
    expect(parsePlan({ ...planWith({}), alignment: undefined }).alignment).toMatchObject({ method: 'off', moves: {} });
    expect(parsePlan(planWith({})).alignment).toEqual({
      method: 'closeToOverheads',
      maxMoveMs: 20,
      maxDistanceMetres: 3,
      temperatureC: 20,
      drums: {},
      overheads: [],
      drum: undefined,
      moves: {},
    });
    expect(parsePlan(planWith(whole)).alignment.moves).toEqual({
      bottom: { delaySamples: -2.5, polarity: -1 },
      left: { delaySamples: 0, polarity: 1 },
    });
  });

  const faults: readonly (readonly [unknown, string])[] = [
    [[], 'alignment must be an object, got []'],
    [{ overhead: [] }, 'alignment.overhead is unknown; the nearest name is overheads'],
    [{ method: 'auto' }, 'alignment.method must be closeToOverheads or overheadsToDrum or off, got "auto"'],
    [{ maxMoveMs: -1 }, 'alignment.maxMoveMs must be 0 to 100, got -1'],
    [
      { drums: { snare: ['tpo'] } },
      'alignment.drums.snare[0] must be one of top, bottom or left, got "tpo"; the nearest name is top',
    ],
    [{ drums: { snare: [] } }, 'alignment.drums.snare must name at least one input'],
    [
      { drums: { snare: ['top'] }, overheads: ['top'] },
      'alignment.overheads[0] must be an input that is not alignment.drums.snare[0] too, got "top"',
    ],
    [{ method: 'overheadsToDrum', drums: { snare: ['top'] } }, 'alignment.drum must be a text, got nothing'],
    [{ drum: 'snare' }, 'alignment.drum is for the method overheadsToDrum alone'],
    [{ moves: { room: {} } }, 'alignment.moves must be one of top, bottom or left, got "room"'],
    [{ moves: { top: { delayMs: 1 } } }, 'alignment.moves.top.delayMs is unknown; the nearest name is delaySamples'],
    [{ moves: { top: { polarity: 0 } } }, 'alignment.moves.top.polarity must be 1 or -1, got 0'],
    [
      { moves: { top: { delaySamples: 1e6 } } },
      'alignment.moves.top.delaySamples must be -100000 to 100000, got 1000000',
    ],
  ];
  it.each(faults)('refuses %j', (alignment, message) => {
    expect(() => parsePlan(planWith(alignment))).toThrow(message);
  });

  it('is in the schema, which accepts what is parsed and refuses what is not', () => {
    const validate = new Ajv2020({ allErrors: true }).compile(mixPlanSchema());
    expect(validate(planWith(whole)), JSON.stringify(validate.errors)).toBe(true);
    for (const alignment of [[], { overhead: [] }, { method: 'auto' }, { moves: { top: { polarity: 0 } } }]) {
      expect(validate(planWith(alignment))).toBe(false);
    }
  });
});

describe('a mix with moves set by hand', () => {
  const a = noise(3000, 1),
    b = noise(2500, 2);
  const channels = { a: { input: 'a', pan: -1 }, b: { input: 'b', pan: 1 } };
  const files = { a: { file: 'a.wav' }, b: { file: 'b.wav' } };
  const render = (moves: object, chunkFrames = 4096, more: object = {}) =>
    mix(
      { inputs: files, channels, alignment: { moves }, ...more },
      { a: recording(a), b: recording(b) },
      { chunkFrames },
    );

  it.each([
    [{ a: { delaySamples: 7 }, b: { delaySamples: -20, polarity: -1 } }],
    [{ a: { delaySamples: -3.25, polarity: -1 } }],
    [{ a: { delaySamples: 100.7 }, b: { delaySamples: 0.5 } }],
  ])('has the bits of applyAlignment: %j', (moves) => {
    const { left, right, report } = render(moves);
    const given = parsePlan({ ...planWith({}), inputs: files, channels, alignment: { moves } }).alignment.moves;
    const { microphones, leadSamples } = applyAlignment({ a, b }, given);
    expect(report.alignment).toEqual({ leadSamples, moves: given, pairs: [] });
    expect(firstDifference(left, microphones.a)).toBe(-1);
    expect(
      firstDifference(
        right,
        microphones.b.map((v) => v + 0), // what is added to a bus has no minus zero
      ),
    ).toBe(-1);
    expect(report.latencySamples).toBe(0);
  });

  it('has the same bits for any size of chunks', () => {
    const moves = { a: { delaySamples: -3.25, polarity: -1 }, b: { delaySamples: 41.9 } };
    const chain = [{ type: 'gate', thresholdDb: -6, lookaheadMs: 1 }];
    const more = { channels: { ...channels, a: { ...channels.a, chain } } };
    const reference = render(moves, 4096, more);
    for (const chunkFrames of [1, 64, 999, 10_000]) {
      const again = render(moves, chunkFrames, more);
      expect(firstDifference(again.left, reference.left)).toBe(-1);
      expect(firstDifference(again.right, reference.right)).toBe(-1);
    }
  });

  it('leaves a plan without moves as it was, to the bit', () => {
    const { left, report } = render({});
    expect(firstDifference(left, a)).toBe(-1);
    expect(report.alignment.leadSamples).toBe(0);
  });

  it('keeps automation at its sample of the inputs, lead or not', () => {
    const automation = [{ target: 'channels.a.gainDb', sample: 1000, value: -120 }];
    const still = render({}, 4096, { automation }).left;
    const { left, report } = render({ b: { delaySamples: -500 } }, 4096, { automation });
    expect(report.alignment.leadSamples).toBe(500);
    expect(firstDifference(left.subarray(500), still)).toBe(-1);
  });

  it('counts a bad sample once, although windows overlap', () => {
    const bad = a.slice();
    bad[1000] = NaN;
    bad[1005] = 1e9;
    for (const chunkFrames of [16, 4096]) {
      const json = { inputs: files, channels, alignment: { moves: { a: { delaySamples: 0.5 } } } };
      const { report, left } = mix(json, { a: recording(bad), b: recording(b) }, { chunkFrames });
      expect(report.nonFiniteInputs).toBe(2);
      expect(left.every(Number.isFinite)).toBe(true);
    }
  });

  it('needs no analysis where every microphone that is named has a move', () => {
    const alignment = {
      drums: { snare: ['a'] },
      overheads: ['b'],
      moves: { a: { delaySamples: 1 }, b: { delaySamples: 0 } },
    };
    const unread: MixInput = { ...recording(a), read: () => expect.fail('must not be read') };
    const plan = parsePlan({ ...planWith({}), inputs: files, channels, alignment });
    expect(alignInputs(plan, { a: unread, b: unread })).toEqual({
      leadSamples: 0,
      moves: plan.alignment.moves,
      pairs: [],
    });
  });
});

describe('a mix that listens', () => {
  let kit: SimulatedKit;
  const names = ['snareTop', 'snareBottom', 'overheadLeft'] as const;
  const sources = () => Object.fromEntries(names.map((name) => [name, recording(kit.microphones[name])]));
  const plan = (alignment: object) => ({
    inputs: Object.fromEntries(names.map((name) => [name, { file: `${name}.wav` }])),
    channels: { top: { input: 'snareTop' }, bottom: { input: 'snareBottom' } },
    alignment: { drums: { snare: ['snareTop', 'snareBottom'] }, overheads: ['overheadLeft'], ...alignment },
  });
  const parsed = (alignment: object) => parsePlan({ version: 1, output: { file: 'mix.wav' }, ...plan(alignment) });

  beforeAll(() => {
    const strokes = Array.from(
      { length: 8 },
      (_, i) => ({ drum: 'snare', seconds: 0.1 + 0.2 * i, velocity: 0.8 }) as const,
    );
    kit = simulateKit({ strokes, tailSeconds: 0.2 });
  });

  it('turns the lower snare microphone, brings both to the overhead, and says what the lows gain', () => {
    const { report, left } = mix(plan({}), sources(), {});
    const { moves, pairs } = report.alignment;
    const { delaySamples } = kit.truth;
    const truth = (name: (typeof names)[number]) => delaySamples.overheadLeft.snare - delaySamples[name].snare;
    for (const name of ['snareTop', 'snareBottom'] as const) {
      expect(Math.abs(moves[name].delaySamples - truth(name))).toBeLessThan(0.1);
    }
    expect([moves['snareTop'].polarity, moves['snareBottom'].polarity]).toEqual([1, -1]);
    const pair = pairs.find(({ close }) => close);
    expect(pair).toMatchObject({
      reference: 'snareTop',
      other: 'snareBottom',
      drum: 'snare',
      polarity: -1,
      used: true,
    });
    expect(pair?.low.gainDb).toBeGreaterThan(6);
    expect(pair?.low.gainDb).toBeGreaterThan(0.9 * (pair?.low.beforeDb ?? Infinity));

    // The mix is that of the moves it reports.
    const byHand = mix(plan({ moves }), sources(), {});
    expect(firstDifference(left, byHand.left)).toBe(-1);
    expect(byHand.report.alignment.pairs).toEqual([]);
  });

  it('lets a move set by hand win', () => {
    const byHand = { snareBottom: { delaySamples: 12, polarity: 1 } };
    const { moves } = alignInputs(parsed({ moves: byHand }), sources());
    expect(moves['snareBottom']).toEqual(byHand.snareBottom);
    expect(moves['snareTop'].delaySamples).not.toBe(0);
  });

  it('brings the overheads to a drum: they are advanced, and the mix begins earlier by the lead', () => {
    const { moves, leadSamples } = alignInputs(parsed({ method: 'overheadsToDrum', drum: 'snare' }), sources());
    expect(moves['overheadLeft'].delaySamples).toBeLessThan(-100);
    expect(moves['snareTop'].delaySamples).toBe(0);
    expect(leadSamples).toBe(Math.ceil(-moves['overheadLeft'].delaySamples) + 47);
  });

  it('can be told what has been found already', () => {
    const alignment = { moves: { snareTop: { delaySamples: 3, polarity: 1 } }, leadSamples: 0, pairs: [] } as const;
    const { report } = mix(plan({}), sources(), { alignment });
    expect(report.alignment).toEqual(alignmentReport(alignment, 48_000));
  });

  it('refuses a microphone of two channels, and one of another sample rate', () => {
    const x = kit.microphones.snareTop;
    expect(() => alignInputs(parsed({}), { ...sources(), overheadLeft: recording(x, x) })).toThrow(
      'inputs.overheadLeft must be one channel to be listened to (name one with "channel"), got 2',
    );
    const slow = { ...recording(x), sampleRateHz: 44_100 };
    expect(() => alignInputs(parsed({}), { ...sources(), overheadLeft: slow })).toThrow(
      'inputs.overheadLeft: the file must have 48000 Hz, as the input of the first channel has, got 44100 Hz',
    );
  });
});
