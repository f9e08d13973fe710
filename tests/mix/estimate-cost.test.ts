import { describe, expect, it } from 'vitest';
import { blockNanoseconds } from '../../src/blocks/block-cost.ts';
import { parseBlock } from '../../src/blocks/block-plan.ts';
import { blockTypes } from '../../src/blocks/block-types.ts';
import { estimateCost } from '../../src/mix/estimate-cost.ts';
import { parsePlan } from '../../src/mix/parse-plan.ts';
import { demoPlan } from '../../src/node/demo-plan.ts';
import { noise } from '../support/signals.ts';
import { recording } from './mix-support.ts';

const RATE = 48000;

/** Cost of a block in one channel, or in several. */
function costOf(json: object, channels = 1, impulseSeconds = 1): number {
  const block = parseBlock('block', json, [], RATE, ['hall']);
  return blockNanoseconds(block, { channels, impulseSeconds });
}

/** A plan of one channel with these blocks, and whatever else. */
const planOf = (chain: readonly object[], part: object = {}, channel: object = {}) =>
  parsePlan({
    version: 1,
    inputs: { a: { file: 'a.wav' }, b: { file: 'b.wav' } },
    channels: { a: { input: 'a', chain, ...channel } },
    output: { file: 'mix.wav' },
    ...part,
  });
const shareOf = (...parts: Parameters<typeof planOf>) => estimateCost(planOf(...parts), { sampleRateHz: RATE });

/** What a block needs to be valid. */
const needed: Readonly<Record<string, object>> = { equaliser: { bands: [{}] }, convolutionReverb: { impulse: 'hall' } };
const bell = { type: 'peaking', frequencyHz: 400 };

describe('blockNanoseconds', () => {
  it.each(Object.keys(blockTypes))('knows what %s costs, for one channel and for more', (type) => {
    const json = { type, ...needed[type] };
    expect(costOf(json)).toBeGreaterThan(0);
    expect(costOf(json, 2)).toBeGreaterThan(costOf(json) * 1.05);
    expect(costOf(json, 4)).toBeCloseTo(2 * costOf(json, 2), 9);
  });

  it('counts an equaliser by its sections, the key filter with them', () => {
    const bands = (count: number) => costOf({ type: 'equaliser', bands: new Array(count).fill(bell) });
    expect(bands(8) - bands(4)).toBeCloseTo(bands(6) - bands(2), 9);
    expect(bands(8)).toBeGreaterThan(bands(4) * 1.2);
    const order = (n: number) => costOf({ type: 'equaliser', bands: [{ type: 'highpass', order: n }] });
    expect(order(8)).toBeCloseTo(bands(4), 9);
    const plain = { type: 'gate' };
    expect(costOf({ ...plain, keyFilter: [bell, bell] })).toBeGreaterThan(costOf({ ...plain, keyFilter: [bell] }));
    expect(costOf({ ...plain, keyFilter: [bell] })).toBeGreaterThan(costOf(plain));
  });

  it.each(['hardClipper', 'softClipper', 'saturator', 'hysteresis'])(
    'finds %s dearer the more it oversamples',
    (type) => {
      const costs = [1, 2, 4, 8, 16].map((oversampling) => costOf({ type, oversampling }));
      for (let i = 1; i < costs.length; i++) expect(costs[i]).toBeGreaterThan(1.3 * costs[i - 1]);
      expect(costs[4]).toBeGreaterThan(8 * costs[0]);
    },
  );

  it('finds antialiasing, denser and longer reverberation, true peaks and root mean squares dearer', () => {
    for (const antialiasing of ['firstAntiderivative', 'secondAntiderivative', 'cornerCorrection']) {
      for (const oversampling of [1, 2, 8]) {
        const plain = { type: 'hardClipper', oversampling };
        expect(costOf({ ...plain, antialiasing })).toBeGreaterThan(costOf(plain));
      }
    }
    const dearer = (cheap: object, dear: object) => expect(costOf(dear)).toBeGreaterThan(costOf(cheap));
    dearer({ type: 'softClipper', curve: 'cubic' }, { type: 'softClipper' });
    dearer({ type: 'schroederReverb', density: 'low' }, { type: 'schroederReverb', density: 'high' });
    dearer({ type: 'feedbackReverb', lines: 8 }, { type: 'feedbackReverb' });
    dearer({ type: 'limiter' }, { type: 'limiter', truePeak: true });
    dearer({ type: 'compressor' }, { type: 'compressor', detector: 'rms' });
    const hall = { type: 'convolutionReverb', impulse: 'hall' };
    expect(costOf(hall, 1, 4)).toBeGreaterThan(costOf(hall, 1, 1));
  });

  it('adds what runs inside the bands of a split', () => {
    const split = (...chains: readonly object[][]) =>
      costOf({ type: 'bandSplit', bands: chains.map((chain) => ({ chain })) });
    const gate = { type: 'gate' };
    expect(split([gate], [gate, gate]) - split([], [])).toBeCloseTo(3 * costOf(gate), 9);
    expect(split([], [], [])).toBeGreaterThan(split([], []));
  });
});

describe('estimateCost', () => {
  it('adds up: the blocks of a strip, and the strips of a plan', () => {
    const gate = { type: 'gate' },
      limiter = { type: 'limiter' };
    const share = (...chain: readonly object[]) => shareOf(chain).coreShare;
    expect(share(gate, limiter) - share()).toBeCloseTo(share(gate) - share() + share(limiter) - share(), 12);
    const { coreShare, timesRealTime, strips } = estimateCost(parsePlan(demoPlan), { sampleRateHz: RATE });
    expect(Object.keys(strips)).toHaveLength(21);
    expect(Object.values(strips).reduce((sum, each) => sum + each, 0)).toBeCloseTo(coreShare, 12);
    expect(timesRealTime * coreShare).toBeCloseTo(1, 12);
    const two = shareOf([gate], { channels: { a: { input: 'a', chain: [gate] }, b: { input: 'a', chain: [gate] } } });
    expect(two.strips['channels.b']).toBe(two.strips['channels.a']);
    expect(two.coreShare - shareOf([gate]).coreShare).toBeCloseTo(two.strips['channels.b'], 12);
  });

  it('is a share of a core: of 96 kHz twice that of 48', () => {
    const plan = planOf([{ type: 'compressor' }]);
    const at = (sampleRateHz: number) => estimateCost(plan, { sampleRateHz }).coreShare;
    expect(at(96000)).toBeCloseTo(2 * at(48000), 12);
    // The shares are those of the table: ns per frame.
    const block = shareOf([{ type: 'gain' }]).coreShare - shareOf([]).coreShare;
    expect(block).toBeCloseTo(costOf({ type: 'gain' }) * 48000e-9, 12);
    expect(() => at(0)).toThrow(new RangeError('estimateCost: sampleRateHz must be 8000 to 384000, got 0'));
  });

  it('counts the channels of a file, and the length of a response, where it is given them', () => {
    const inputs = (channels: number, frames: number) => ({
      a: recording(...new Array<Float64Array>(channels).fill(noise(10, 1))),
      b: recording(new Float64Array(frames)),
    });
    const chain = [{ type: 'compressor' }, { type: 'convolutionReverb', impulse: 'b' }];
    const given = (plan: ReturnType<typeof planOf>, channels: number, frames: number) =>
      estimateCost(plan, { sampleRateHz: RATE, inputs: inputs(channels, frames) }).coreShare;
    const plan = planOf(chain);
    expect(given(plan, 1, RATE)).toBeCloseTo(shareOf(chain).coreShare, 12);
    expect(given(plan, 2, RATE)).toBeGreaterThan(1.2 * given(plan, 1, RATE));
    expect(given(plan, 1, 4 * RATE)).toBeGreaterThan(given(plan, 1, RATE));
    const oneOfTwo = planOf(chain, { inputs: { a: { file: 'a.wav', channel: 1 }, b: { file: 'b.wav' } } });
    expect(given(oneOfTwo, 2, RATE)).toBe(given(plan, 1, RATE));
  });

  it('counts sends, and inputs that the alignment moves by fractions of a sample', () => {
    const buses = { space: {} };
    const send = { sends: [{ to: 'space' }] };
    expect(shareOf([], { buses }, send).strips['channels.a']).toBeGreaterThan(
      shareOf([], { buses }).strips['channels.a'],
    );
    const moved = (delaySamples: number) => shareOf([], { alignment: { moves: { a: { delaySamples } } } }).coreShare;
    expect(moved(3)).toBe(shareOf([]).coreShare);
    expect(moved(3.5)).toBeGreaterThan(1.5 * moved(3));
    const listened = shareOf([], {
      alignment: { method: 'closeToOverheads', drums: { kick: ['a'] }, overheads: ['b'] },
    });
    expect(listened.coreShare).toBe(moved(3.5));
  });

  it('counts the measuring of a reverberation where it is heard, and what hits bring about', () => {
    const mixBusOf = (chain: readonly object[]) => shareOf([], { buses: { space: { chain } } }).strips['mixBus'];
    expect(mixBusOf([{ type: 'schroederReverb' }])).toBeGreaterThan(mixBusOf([{ type: 'gate' }]));
    const channelOf = (drum: object, further: readonly string[] = []) =>
      shareOf([], {
        hits: { drums: { snare: { microphone: 'a', kind: 'snare', ...drum } }, furtherMicrophones: further },
      }).strips['channels.a'];
    const plain = channelOf({});
    expect(plain).toBe(shareOf([]).strips['channels.a']);
    expect(channelOf({ bleed: {} }, ['b'])).toBeGreaterThan(channelOf({ bleed: {} }));
    expect(channelOf({ bleed: {} })).toBeGreaterThan(plain);
    const layer = { samples: [{ velocity: 100, files: ['one.wav'] }] };
    expect(channelOf({ layer })).toBeGreaterThan(plain);
  });
});
