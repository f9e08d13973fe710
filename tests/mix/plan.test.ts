import { readFileSync } from 'node:fs';
import { resolve } from 'node:path';
import { Ajv2020 } from 'ajv/dist/2020.js';
import { describe, expect, it } from 'vitest';
import { blockTypes } from '../../src/blocks/block-types.ts';
import { parsePlan } from '../../src/mix/parse-plan.ts';
import { mixPlanSchema } from '../../src/mix/plan-schema.ts';

const output = { file: 'mix.wav' };
const chainOf = (...chain: object[]) => ({
  version: 1,
  inputs: { snareTop: { file: 'snare.wav' } },
  channels: { snareTop: { input: 'snareTop', chain } },
  output,
});
const plan = chainOf({ type: 'gate', thresholdDb: -30 }, { type: 'gain' }, { type: 'compressor', attackMs: 3 });
const withPart = (part: object) => ({ ...plan, ...part });

/** Plans with one fault each, the error's kind, and the message that names it by its path. */
const faults: readonly (readonly [object | string | null, ErrorConstructor, string])[] = [
  [null, TypeError, 'plan must be an object, got null'],
  [[] as object, TypeError, 'plan must be an object, got []'],
  [withPart({ version: 2 }), RangeError, 'version must be 1, got 2'],
  [withPart({ chanels: {} }), TypeError, 'chanels is unknown; the nearest name is channels'],
  [withPart({ panLaw: '-2 dB' }), RangeError, 'panLaw must be -3 dB or -4.5 dB or -6 dB, got "-2 dB"'],
  [withPart({ inputs: { snareTop: {} } }), TypeError, 'inputs.snareTop.file must be a text, got nothing'],
  [
    withPart({ inputs: { snareTop: { file: 'a', channel: -1 } } }),
    RangeError,
    'inputs.snareTop.channel must be 0 to 63, got -1',
  ],
  [
    withPart({ channels: { snareTop: { input: 'snare' } } }),
    TypeError,
    'channels.snareTop.input must be snareTop, got "snare"; the nearest name is snareTop',
  ],
  [withPart({ channels: {} }), RangeError, 'channels must hold at least one channel'],
  [
    withPart({ channels: { mixBus: { input: 'snareTop' } } }),
    RangeError,
    'channels must have names of letters, digits, - and _ (not mixBus), got "mixBus"',
  ],
  [
    withPart({ channels: { '2nd': { input: 'snareTop' } } }),
    RangeError,
    'channels must have names of letters, digits, - and _ (not mixBus), got "2nd"',
  ],
  [
    chainOf({ type: 'gate' }, { type: 'gain' }, { type: 'compressor', attackMs: -3 }),
    RangeError,
    'channels.snareTop.chain[2].attackMs must be 0 to 1000, got -3',
  ],
  [chainOf({ type: 'gat' }), TypeError, 'the nearest name is gate'],
  [
    chainOf({ type: 'gate', treshold: 1 }),
    TypeError,
    'channels.snareTop.chain[0].treshold is unknown; the nearest name is ',
  ],
  [
    chainOf({ type: 'gate', thresholdDb: '-3' }),
    TypeError,
    'channels.snareTop.chain[0].thresholdDb must be a number from -120 to 0, got "-3"',
  ],
  [chainOf({ type: 'gate', key: 'kick' }), TypeError, 'channels.snareTop.chain[0].key must be snareTop, got "kick"'],
  [chainOf({ type: 'gain', key: 'snareTop' }), TypeError, 'channels.snareTop.chain[0].key is unknown'],
  [chainOf({ type: 'equaliser' }), TypeError, 'channels.snareTop.chain[0].bands must be a list, got nothing'],
  [
    chainOf({ type: 'equaliser', bands: [{ q: 0 }] }),
    RangeError,
    'channels.snareTop.chain[0].bands[0].q must be 0.1 to 40, got 0',
  ],
  [
    chainOf({ type: 'equaliser', bands: [{ order: 3 }] }),
    RangeError,
    'channels.snareTop.chain[0].bands[0].order must be 2 for the type peaking, got 3',
  ],
  [
    chainOf({ type: 'delay', delaySamples: 9, maximumSamples: 8 }),
    RangeError,
    'channels.snareTop.chain[0].delaySamples must be 0 to 8 (maximumSamples), got 9',
  ],
  [withPart({ buses: { snareTop: {} } }), RangeError, 'buses.snareTop must have a name that no channel has'],
  [
    withPart({ buses: { a: { sends: [{ to: 'b', gainDb: 0 }] } } }),
    TypeError,
    'buses.a.sends[0].to must be one of a or mixBus, got "b"',
  ],
  [withPart({ mixBus: { pan: 0 } }), TypeError, 'mixBus.pan is unknown'],
  [withPart({ references: {} }), TypeError, 'references must be a list, got {}'],
  [withPart({ references: ['a.wav'] }), TypeError, 'references[0] must be an object, got "a.wav"'],
  [withPart({ references: [{ file: 'a.wav' }, {}] }), TypeError, 'references[1].file must be a text, got nothing'],
  [
    withPart({ references: [{ file: 'a.wav', startSeconds: 9, endSeconds: 3 }] }),
    RangeError,
    'references[0].endSeconds must be above startSeconds (9), got 3',
  ],
  [
    withPart({ references: [{ file: 'a.wav', startSecond: 1 }] }),
    TypeError,
    'references[0].startSecond is unknown; the nearest name is startSeconds',
  ],
  [withPart({ context: [] }), TypeError, 'context must be an object, got []'],
  [withPart({ context: { bass: 'bass.wav' } }), TypeError, 'context.bass must be an object, got "bass.wav"'],
  [
    withPart({ context: { bass: { file: 'bass.wav', gainDb: 30 } } }),
    RangeError,
    'context.bass.gainDb must be -120 to 24, got 30',
  ],
  [withPart({ context: { 'the bass': { file: 'bass.wav' } } }), RangeError, 'context must have names of letters'],
  [withPart({ output: {} }), TypeError, 'output.file must be a text, got nothing'],
  [
    withPart({ automation: [{ target: 'channels.snareTop.chain[3].gainDb', sample: 0, value: 0 }] }),
    RangeError,
    'automation[0].target must point at one of 3 blocks of channels.snareTop, got channels.snareTop.chain[3].gainDb',
  ],
  [
    withPart({ automation: [{ target: 'channels.snareTop.chain[0].lookaheadMs', sample: 0, value: 0 }] }),
    TypeError,
    'automation[0].target must not point at lookaheadMs, which is fixed at construction',
  ],
  [
    withPart({ automation: [{ target: 'channels.snareTop.gainDb', sample: 1.5, value: 0 }] }),
    RangeError,
    'automation[0].sample must be a whole number',
  ],
  [
    withPart({ automation: [{ target: 'channels.snareTop.gainDb', sample: 1, value: 99 }] }),
    RangeError,
    'automation[0].value must be -120 to 24, got 99',
  ],
  [
    withPart({ automation: [{ target: 'channels.snareTop.pann', sample: 1, value: 0 }] }),
    TypeError,
    'automation[0].target must be one of gainDb, pan or widthPercent, got "pann"; the nearest name is pan',
  ],
  [
    withPart({ automation: [{ target: 'channels.snareTip.pan', sample: 1, value: 0 }] }),
    TypeError,
    'automation[0].target must be snareTop, got "snareTip"',
  ],
  [
    withPart({
      buses: { a: { sends: [{ to: 'mixBus' }] } },
      automation: [{ target: 'buses.a.sends[0].bands[7].gainDb', sample: 0, value: 0 }],
    }),
    RangeError,
    'automation[0].target must point at one of 0 bands of buses.a.sends[0], got buses.a.sends[0].bands[7].gainDb',
  ],
  [
    withPart({ automation: [{ target: 'channels.snareTop.bands[0].gainDb', sample: 0, value: 0 }] }),
    RangeError,
    'automation[0].target must point at one of 0 bands of channels.snareTop, got channels.snareTop.bands[0].gainDb',
  ],
  [
    {
      ...chainOf({ type: 'delay', maximumSamples: 8 }),
      automation: [
        { target: 'channels.snareTop.chain[0].delaySamples', sample: 5, value: 8 },
        { target: 'channels.snareTop.chain[0].delaySamples', sample: 3, value: 9 },
      ],
    },
    RangeError,
    'automation[1].value: delaySamples must be 0 to 8 (maximumSamples), got 9',
  ],
  [
    withPart({ buses: { a: { output: 'b' }, b: { output: 'a' } } }),
    RangeError,
    'must not close a loop, got buses.a <- buses.b <- buses.a',
  ],
  [
    chainOf({ type: 'gate', key: 'snareTop' }),
    RangeError,
    'channels.snareTop.chain[0].key must not close a loop, got channels.snareTop <- channels.snareTop',
  ],
];

describe('parsePlan', () => {
  it('fills in what is left out', () => {
    const parsed = parsePlan(plan);
    expect(parsed.panLaw).toBe('-3 dB');
    expect(parsed.channels.snareTop).toMatchObject({
      gainDb: 0,
      pan: 0,
      widthPercent: 100,
      output: 'mixBus',
      sends: [],
    });
    expect(parsed.output).toEqual({ file: 'mix.wav', sampleFormat: 'integer24', maxTailSeconds: 10 });
    expect(parsed.channels.snareTop.chain[0]).toEqual({ type: 'gate', options: { thresholdDb: -30 } });
    expect(parsed).toMatchObject({ references: [], context: {} });
  });

  it('reads what the mix is compared with', () => {
    const references = [{ file: 'a.wav' }, { file: 'b.wav', startSeconds: 60, endSeconds: 90.5 }];
    const context = { bass: { file: 'bass.wav' }, guitars: { file: 'guitars.wav', gainDb: -3 } };
    const json = withPart({ references, context });
    const parsed = parsePlan(json);
    expect(parsed.references[0]).toEqual({ file: 'a.wav', startSeconds: 0, endSeconds: 86_400 });
    expect(parsed.references[1]).toEqual(references[1]);
    expect(parsed.context).toEqual({ bass: { file: 'bass.wav', gainDb: 0 }, guitars: context.guitars });
    expect(new Ajv2020().compile(mixPlanSchema())(json)).toBe(true);
  });

  for (const [json, kind, message] of faults) {
    it(`refuses: ${message}`, () => {
      let error: unknown;
      try {
        parsePlan(json);
      } catch (thrown) {
        error = thrown;
      }
      expect(error).toBeInstanceOf(kind);
      expect((error as Error).message).toContain(message);
    });
  }
});

describe('mixPlanSchema', () => {
  const validate = new Ajv2020({ allErrors: true }).compile(mixPlanSchema());

  it('accepts a plan that parses, and every block type', () => {
    expect(validate(plan)).toBe(true);
    for (const [type, { takesBands, takesImpulse }] of Object.entries(blockTypes)) {
      const bands = takesBands && { bands: [{ type: 'peaking', gainDb: 3 }] };
      const json = chainOf({ type, ...bands, ...(takesImpulse && { impulse: 'snareTop' }) });
      expect(validate(json)).toBe(true);
      expect(() => parsePlan(json)).not.toThrow();
    }
  });

  it('refuses what a schema can refuse', () => {
    const beyondSchema =
      /nearest name is (snareTop|channels)|must be snareTop|no channel has|buses\.a\.sends|automation|order must be|a loop|above startSeconds|\(maximumSamples\)/;
    let refused = 0;
    for (const [json, , message] of faults) {
      if (beyondSchema.test(message) && !message.startsWith('chanels')) continue;
      expect([message, validate(json)]).toEqual([message, false]);
      refused++;
    }
    expect(refused).toBeGreaterThan(12);
  });

  it('describes every parameter of every block', () => {
    const { $defs } = mixPlanSchema() as {
      $defs: { block: { oneOf: { properties: Record<string, { description?: string }> }[] } };
    };
    for (const { properties } of $defs.block.oneOf) {
      for (const [name, property] of Object.entries(properties)) {
        if (name !== 'type') expect([name, (property.description ?? '').length > 10]).toEqual([name, true]);
      }
    }
  });
});

describe('the plan in the README', () => {
  it('parses, and fits the schema', () => {
    const readme = readFileSync(resolve(import.meta.dirname, '../../README.md'), 'utf8');
    const plans = [...readme.matchAll(/^```json\n([\s\S]*?)^```$/gm)].map(([, json]) => JSON.parse(json) as object);
    expect(plans).toHaveLength(1);
    expect(parsePlan(plans[0]).channels['snare'].chain).toHaveLength(3);
    expect(new Ajv2020().compile(mixPlanSchema())(plans[0])).toBe(true);
  });
});
