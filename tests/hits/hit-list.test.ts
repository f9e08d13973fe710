import { Ajv2020 } from 'ajv/dist/2020.js';
import { describe, expect, it } from 'vitest';
import { type Hit, type HitList, hitListOf, parseHitList } from '../../src/hits/hit-list.ts';
import { hitListSchema } from '../../src/hits/hit-list-schema.ts';

const hit = (changes: Partial<Hit> = {}): Hit => ({
  drum: 'snare',
  sample: 100.25,
  velocityDb: -12,
  velocity: 90,
  confidence: 0.9,
  source: 'detected',
  ...changes,
});

const list = (): HitList =>
  hitListOf(
    48000,
    [hit({ sample: 500 }), hit({ sample: 20.5, source: 'edited' })],
    [{ ...hit({ drum: 'kick', sample: 30 }), reason: 'snareTop hears it sooner' }],
    [{ drum: 'snare', sample: 700 }],
  );

const validate = new Ajv2020().compile(hitListSchema());

describe('a hit list', () => {
  it('is sorted by time', () => {
    expect(list().hits.map(({ sample }) => sample)).toEqual([20.5, 500]);
  });

  it('is plain JSON: written and read again, it is the same', () => {
    expect(parseHitList(JSON.parse(JSON.stringify(list())))).toEqual(list());
  });

  it('is sorted by time however it was written', () => {
    expect(parseHitList({ ...list(), hits: [...list().hits].reverse() })).toEqual(list());
  });

  const first = list().hits[0];
  it.each<[string, object, new () => Error, string]>([
    ['another version', { version: 2 }, RangeError, 'version must be 1 to 1, got 2'],
    ['an unknown member', { hitz: [] }, TypeError, 'hitz is unknown; the nearest name is hits'],
    ['no list', { rejected: undefined }, TypeError, 'rejected must be a list, got nothing'],
    ['a rate', { sampleRateHz: 10 }, RangeError, 'sampleRateHz must be 8000 to 384000, got 10'],
    ['a velocity', { hits: [{ ...first, velocity: 300 }] }, RangeError, 'hits[0].velocity must be 0 to 127, got 300'],
    ['a member of a hit', { hits: [{ ...first, note: 38 }] }, TypeError, 'hits[0].note is unknown'],
    ['no position', { hits: [first, { ...first, sample: null }] }, TypeError, 'hits[1].sample must be a number'],
    ['NaN', { hits: [{ ...first, confidence: NaN }] }, RangeError, 'hits[0].confidence must be 0 to 1, got NaN'],
    ['no drum', { deletions: [{ drum: '', sample: 1 }] }, TypeError, 'deletions[0].drum must be a text'],
    ['no reason', { rejected: [first] }, TypeError, 'rejected[0].reason must be a text, got nothing'],
    [
      'a source',
      { hits: [{ ...first, source: 'edit' }] },
      TypeError,
      'hits[0].source must be one of detected, edited or imported, got "edit"; the nearest name is edited',
    ],
  ])('is refused with the path of the fault: %s', (_, change, Kind, message) => {
    const parse = (): unknown => parseHitList({ ...list(), ...change });
    expect(parse).toThrow(Kind);
    expect(parse).toThrow(message);
    expect(validate(JSON.parse(JSON.stringify({ ...list(), ...change })))).toBe(false); // and by the schema
  });

  it('is what its schema describes', () => {
    expect(validate(list())).toBe(true);
  });
});
