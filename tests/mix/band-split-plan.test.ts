/** Plans with a split into bands: what is accepted, what it sounds like, and what automation reaches. */
import { Ajv2020 } from 'ajv/dist/2020.js';
import { describe, expect, it } from 'vitest';
import { Compressor } from '../../src/dynamics/compressor.ts';
import { BandSplit } from '../../src/filters/band-split.ts';
import { Equaliser } from '../../src/filters/equaliser.ts';
import { parsePlan } from '../../src/mix/parse-plan.ts';
import { mixPlanSchema } from '../../src/mix/plan-schema.ts';
import { render64 } from '../support/processor-laws.ts';
import { largestDifference, noise } from '../support/signals.ts';
import { mix, RATE, recording } from './mix-support.ts';

const squeeze = { thresholdDb: -40, ratio: 4, attackMs: 1, lookaheadMs: 2 };
const tilt = { type: 'highShelf', frequencyHz: 4000, gainDb: -3 } as const;
const split = {
  type: 'bandSplit',
  firstHz: 300,
  bands: [{ chain: [{ type: 'compressor', ...squeeze }] }, { chain: [{ type: 'equaliser', bands: [tilt] }] }],
};
const planWith = (block: object, automation: readonly object[] = []) => ({
  version: 1,
  inputs: { a: { file: 'a.wav' } },
  channels: { a: { input: 'a', chain: [block] } },
  automation,
  output: { file: 'mix.wav' },
});
const at = (name: string, value: number | boolean, sample = 0) => ({
  target: `channels.a.chain[0].${name}`,
  sample,
  value,
});
const stereo = { sampleRateHz: RATE, channels: 2 };
const x = [noise(9000, 1), noise(9000, 2)];

describe('a plan with a split into bands', () => {
  it('parses and fits the schema', () => {
    expect(parsePlan(planWith(split)).channels['a'].chain[0].chains).toHaveLength(2);
    const validate = new Ajv2020().compile(mixPlanSchema());
    expect(validate(planWith(split))).toBe(true);
    expect(validate(planWith({ ...split, bands: [{ chain: [split] }, {}] }))).toBe(false);
    expect(validate(planWith({ ...split, bands: [{}] }))).toBe(false);
    expect(validate(planWith({ ...split, bands: [{ chain: [{ type: 'gate', key: 'a' }] }, {}] }))).toBe(false);
  });

  it('runs the blocks of each band, in time', () => {
    const { left, right, report } = mix(planWith(split), { a: recording(...x) });
    expect(report.latencySamples).toBe(96);
    const wanted = render64(
      new BandSplit(stereo, { firstHz: 300 }, [new Compressor(stereo, squeeze), new Equaliser(stereo, [tilt])]),
      x,
    );
    const parts = [left, right].map((y) => y.subarray(0, 8000));
    parts.forEach((y, c) => {
      expect(largestDifference(y, wanted[c].subarray(96, 8096))).toBeLessThan(1e-12);
    });
  });

  it('lets automation reach crossovers, blocks inside and bands of an equaliser inside', () => {
    const changes = [
      at('firstHz', 900, 2000),
      at('bands[0].chain[0].thresholdDb', -10, 2000),
      at('bands[1].chain[0].bands[0].gainDb', 9, 2000),
    ];
    const { left } = mix(planWith(split, changes), { a: recording(...x) });
    const inside = [new Compressor(stereo, squeeze), new Equaliser(stereo, [tilt])] as const;
    const running = new BandSplit(stereo, { firstHz: 300 }, inside);
    const y = x.map((channel) => new Float64Array(channel.length));
    running.process(x, y, { end: 2000 });
    running.set({ firstHz: 900 });
    inside[0].set({ thresholdDb: -10 });
    inside[1].set({ 'bands[0].gainDb': 9 });
    running.process(x, y, { start: 2000 });
    expect(largestDifference(left.subarray(0, 8000), y[0].subarray(96, 8096))).toBeLessThan(1e-12);
  });

  it.each<[string, object, object[], string]>([
    [
      'a fault inside',
      { ...split, bands: [{ chain: [{ type: 'gate', attackMs: -3 }] }, {}] },
      [],
      'channels.a.chain[0].bands[0].chain[0].attackMs must be 0 to 1000, got -3',
    ],
    [
      'a key inside',
      { ...split, bands: [{}, { chain: [{ type: 'gate', key: 'a' }] }] },
      [],
      'channels.a.chain[0].bands[1].chain[0].key must not be given inside a band',
    ],
    [
      'a split inside',
      { ...split, bands: [{ chain: [split] }, {}] },
      [],
      'channels.a.chain[0].bands[0].chain[0].type must not be bandSplit inside a band',
    ],
    ['one band', { ...split, bands: [{}] }, [], 'channels.a.chain[0].bands: number of bands must be 2 to 4, got 1'],
    [
      'crossovers that do not rise',
      { ...split, secondHz: 200, bands: [{}, {}, {}] },
      [],
      'channels.a.chain[0].secondHz must be above 300 (firstHz), got 200',
    ],
    [
      'crossovers that automation brings out of order',
      { ...split, bands: [{}, {}, {}] },
      [at('firstHz', 5000)],
      'automation[0].value: secondHz must be above 5000 (firstHz), got 1500',
    ],
    [
      'a band that is not there',
      split,
      [at('bands[2].chain[0].thresholdDb', 0)],
      'automation[0].target must point at one of 2 bands of channels.a.chain[0]',
    ],
    [
      'a block that is not there',
      split,
      [at('bands[0].chain[1].thresholdDb', 0)],
      'automation[0].target must point at one of 1 blocks of channels.a.chain[0].bands[0]',
    ],
    [
      'a fixed parameter inside',
      split,
      [at('bands[0].chain[0].lookaheadMs', 0)],
      'must not point at lookaheadMs, which is fixed',
    ],
    ['a value out of range', split, [at('bands[0].chain[0].ratio', 0)], 'automation[0].value must be 1 to 1000, got 0'],
  ])('refuses %s', (_, block, automation, message) => {
    expect(() => parsePlan(planWith(block, automation))).toThrow(message);
  });
});
