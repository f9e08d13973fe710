import { beforeAll, describe, expect, it } from 'vitest';
import { hitListOf } from '../../src/hits/hit-list.ts';
import { parsePlan } from '../../src/mix/parse-plan.ts';
import { type SimulatedKit, simulateKit } from '../../src/simulation/simulate-kit.ts';
import { firstDifference, impulse, noise, peak, rms } from '../support/signals.ts';
import { mix, RATE, recording } from './mix-support.ts';

const hit = (drum: string, sample: number, velocityDb = 0) => ({
  drum,
  sample,
  velocityDb,
  velocity: 100,
  confidence: 1,
  source: 'imported' as const,
});

const click = impulse(200, 0, 0.5);
const layer = (more: object = {}) => ({
  samples: [{ velocity: 100, files: ['click.wav'] }],
  maximumOffsetMs: 0,
  ...more,
});
const output = { file: 'mix.wav' };
const plan = (hits: object, channels: object = { top: { input: 'top', pan: -1 } }) => ({
  version: 1,
  inputs: { top: { file: 'top.wav' }, kick: { file: 'kick.wav' } },
  channels,
  hits,
  output,
});
const drums = (snare: object) => ({ drums: { snare: { microphone: 'top', kind: 'snare', ...snare } } });

describe('the hits of a plan', () => {
  const silence = { top: recording(new Float64Array(6000)), kick: recording(new Float64Array(6000)) };
  const resources = { samples: { 'click.wav': click } };

  it('put samples into the microphone, where the hits stand in the recording, whatever the chain is late', () => {
    const list = hitListOf(RATE, [hit('snare', 1000, -6), hit('snare', 3000), hit('kick', 2000)]);
    const channels = { top: { input: 'top', pan: -1, chain: [{ type: 'limiter', ceilingDb: 0 }] } };
    const { left, report } = mix(plan({ file: 'hits.json', ...drums({ layer: layer() }) }, channels), silence, {
      hits: { ...resources, list },
    });
    expect([...left.keys()].filter((n) => Math.abs(left[n]) > 1e-9)).toEqual([1000, 3000]);
    expect(left[1000] / left[3000]).toBeCloseTo(10 ** (-6 / 20), 9);
    expect(report.hits).toEqual({
      snare: { microphone: 'top', hits: 2, rejected: 0, layered: { samples: 2, turned: 0, farthestMs: 0 } },
    });
  });

  it('lets a sample ring on behind the end of the recording', () => {
    const list = hitListOf(RATE, [hit('snare', 5900)]);
    const ring = noise(500, 1);
    const { left } = mix(plan({ file: 'hits.json', ...drums({ layer: layer() }) }), silence, {
      hits: { list, samples: { 'click.wav': ring } },
    });
    expect(peak(left.subarray(6100))).toBeGreaterThan(0.5);
  });

  it('follow additions and removals by hand', () => {
    const list = hitListOf(RATE, [hit('snare', 1000), hit('snare', 3000)]);
    const edits = { add: [{ sample: 4500, velocityDb: -3 }], remove: [3010] };
    const { left } = mix(plan({ file: 'hits.json', ...drums({ layer: layer(), ...edits }) }), silence, {
      hits: { ...resources, list },
    });
    expect([...left.keys()].filter((n) => Math.abs(left[n]) > 1e-9)).toEqual([1000, 4500]);
  });

  it('open a gate ahead of the hit by its look-ahead', () => {
    const list = hitListOf(RATE, [hit('snare', 3000)]);
    const gate = { type: 'gate', key: { hits: 'snare', decayMs: 50 }, attackMs: 0, lookaheadMs: 2, rangeDb: 120 };
    const chain = [{ type: 'limiter', ceilingDb: 0 }, gate];
    const { left } = mix(
      plan({ file: 'hits.json', ...drums({}) }, { top: { input: 'top', pan: -1, chain } }),
      { ...silence, top: recording(new Float64Array(6000).fill(0.5)) },
      { hits: { list } },
    );
    expect(left.findIndex((y) => Math.abs(y) > 0.1)).toBe(3000 - 96);
  });

  it('stay with the microphone that the alignment moves: its samples, and the gates that listen', () => {
    const list = hitListOf(RATE, [hit('snare', 3000)]);
    const alignment = { method: 'off', drums: { snare: ['top'] }, moves: { top: { delaySamples: 100, polarity: 1 } } };
    const moved = (channel: object, top: Float64Array, snare: object) =>
      mix(
        { ...plan({ file: 'hits.json', ...drums(snare) }, { top: { input: 'top', pan: -1, ...channel } }), alignment },
        { ...silence, top: recording(top) },
        { hits: { ...resources, list } },
      ).left;
    const layered = moved({}, new Float64Array(6000), { layer: layer() });
    expect([...layered.keys()].filter((n) => Math.abs(layered[n]) > 1e-9)).toEqual([3100]);
    const chain = [{ type: 'gate', key: { hits: 'snare' }, attackMs: 0, lookaheadMs: 2, rangeDb: 120 }];
    const gated = moved({ chain }, new Float64Array(6000).fill(0.5), {});
    expect(gated.findIndex((y) => Math.abs(y) > 0.1)).toBe(3100 - 96);
  });

  it('are refused by the path of the first fault', () => {
    const refused = (hits: unknown, message: string | RegExp) => {
      expect(() => parsePlan(plan(hits as object))).toThrow(message);
    };
    refused({ drums: {} }, 'hits.drums must hold at least one drum');
    refused(drums({ microphone: 'tap' }), 'hits.drums.snare.microphone must be one of top or kick, got "tap"');
    refused(drums({ kind: 'snore' }), /hits\.drums\.snare\.kind must be one of .* the nearest name is snare/);
    refused(drums({ layer: layer({ gainDb: 99 }) }), 'hits.drums.snare.layer.gainDb must be -60 to 24, got 99');
    refused(drums({ layer: { samples: [] } }), 'hits.drums.snare.layer.samples must hold at least one layer');
    refused(
      drums({ bleed: { strenght: 1 } }),
      'hits.drums.snare.bleed.strenght is unknown; the nearest name is strength',
    );
    refused(drums({ remove: ['x'] }), /hits\.drums\.snare\.remove\[0\] must be a number/);
    expect(() =>
      parsePlan(plan(drums({}), { top: { input: 'top', chain: [{ type: 'gate', key: { hits: 'snaer' } }] } })),
    ).toThrow('channels.top.chain[0].key.hits must be snare, got "snaer"');
    expect(() => mix(plan({ file: 'hits.json', ...drums({}) }), silence)).toThrow('hits.file must have been read');
    expect(() =>
      mix(plan({ file: 'f', ...drums({ layer: layer() }) }), silence, { hits: { list: hitListOf(RATE, []) } }),
    ).toThrow('click.wav must have been read');
  });
});

describe('a kit whose plan has hits', () => {
  let kit: SimulatedKit;
  beforeAll(() => {
    kit = simulateKit({ bars: 1, bleedDb: -12, tailSeconds: 0.5 });
  }, 30_000);

  it('renders the same bits for any size of chunks: detected, freed of bleed, layered, gated', () => {
    const names = ['kickIn', 'snareTop', 'overheadLeft'] as const;
    const inputs = Object.fromEntries(names.map((name) => [name, recording(kit.microphones[name])]));
    const json = {
      inputs: Object.fromEntries(names.map((name) => [name, { file: `${name}.wav` }])),
      channels: {
        kick: { input: 'kickIn' },
        snare: { input: 'snareTop', chain: [{ type: 'gate', key: { hits: 'snare' }, lookaheadMs: 2 }] },
        overhead: { input: 'overheadLeft' },
      },
      hits: {
        furtherMicrophones: ['overheadLeft'],
        drums: {
          kick: { microphone: 'kickIn', kind: 'kick', layer: { samples: [{ velocity: 90, files: ['a', 'b'] }] } },
          snare: {
            microphone: 'snareTop',
            kind: 'snare',
            bleed: {},
            layer: { samples: [{ velocity: 90, files: ['a'] }], mode: 'replace', highBlendPercent: 20 },
          },
        },
      },
    };
    const samples = { a: noise(6000, 1).map((x, n) => x * Math.exp(-n / 900)), b: noise(4000, 2) };
    const [first, ...others] = [64, 1000, 48_000].map((chunkFrames) =>
      mix(json, inputs, { chunkFrames, hits: { samples } }),
    );
    for (const other of others) {
      expect(firstDifference(first.left, other.left)).toBe(-1);
      expect(firstDifference(first.right, other.right)).toBe(-1);
    }
    expect(first.report.hits?.kick.hits).toBeGreaterThan(2);
    expect(first.report.hits?.snare.bleed?.bleedDownDb).toBeGreaterThan(3);
    expect(rms(first.left)).toBeGreaterThan(0.001);
  });
});
