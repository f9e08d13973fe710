import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { hitListOf } from '../../src/hits/hit-list.ts';
import { hitsFromCsv, hitsToCsv } from '../../src/hits/hits-csv.ts';
import { dbOfVelocity, velocityOfDb } from '../../src/hits/velocity.ts';
import { hitAt } from './hits-support.ts';

describe('hits as CSV', () => {
  it('loses nothing on the way there and back, whatever the drum is called', () => {
    const number = (min: number, max: number) => fc.double({ min, max, noNaN: true });
    const hit = fc
      .record({
        drum: fc.string({ minLength: 1, unit: fc.constantFrom('a', ' ', '"', ',', '\n', '\r', 'é') }),
        sample: number(0, 1e6),
        velocityDb: number(-200, 60),
        velocity: number(0, 127),
        confidence: number(0, 1),
      })
      .map((members) => ({ ...members, source: 'imported' as const }));
    fc.assert(
      fc.property(fc.array(hit, { maxLength: 5 }), (hits) => {
        const list = hitListOf(44100, hits);
        expect(hitsFromCsv(hitsToCsv(list), 44100).hits.map((each) => JSON.stringify(each))).toEqual(
          list.hits.map((each) => JSON.stringify(each)),
        );
      }),
    );
  });

  it('is RFC 4180: a header, CRLF, quotes doubled', () => {
    expect(hitsToCsv(hitListOf(48000, [hitAt(1.5, { drum: 'a "b", c' })]))).toBe(
      'drum,sample,velocityDb,velocity,confidence,source\r\n"a ""b"", c",1.5,-12,90,0.9,detected\r\n',
    );
  });

  it('finds columns by name and fills in what is missing', () => {
    const { hits } = hitsFromCsv('velocity,comment,drum,sample\n64,loud,kick,10\n', 48000);
    expect(hits).toEqual([
      { drum: 'kick', sample: 10, velocity: 64, velocityDb: dbOfVelocity(64), confidence: 1, source: 'imported' },
    ]);
    expect(hitsFromCsv('drum,sample,velocityDb\nkick,1,-20', 48000).hits[0].velocity).toBe(velocityOfDb(-20));
    expect(hitsFromCsv('drum,sample,velocity\n', 48000).hits).toEqual([]);
  });

  it.each([
    ['', 'line 1: must name the column drum'],
    ['drum,velocity\nkick,3', 'line 1: must name the column sample, got drum,velocity'],
    ['drum,sample,velocity\nkick,1,64\nkick,2,300', 'line 3: velocity must be 0 to 127, got 300'],
    ['drum,sample,velocity\nkick,x,64', 'line 2: sample must be 0 to 4294967295, got NaN'],
    ['drum,sample,velocity\nkick,,64', 'line 2: sample must be a number, got nothing'],
    ['drum,sample,velocity\nkick,3,', 'line 2: velocity or velocityDb must be a number, got nothing'],
    ['drum,sample,velocity\n,3,5', 'line 2: drum must be a text'],
  ])('%j is refused: %s', (text, message) => {
    expect(() => hitsFromCsv(text, 48000)).toThrow(message);
  });
});
