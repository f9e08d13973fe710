import { describe, expect, it } from 'vitest';
import { hitListOf } from '../../src/hits/hit-list.ts';
import { addHit, mergeHits, removeHit } from '../../src/hits/merge-hits.ts';
import { hitAt, listAt } from './hits-support.ts';

const samples = (list: { hits: readonly { sample: number }[] }) => list.hits.map(({ sample }) => sample);

describe('hand edits', () => {
  it('survive a new detection', () => {
    let list = listAt([1, 2, 3]);
    list = removeHit(list, 'snare', 2 * 48000 + 100); // removed
    list = removeHit(list, 'snare', 3 * 48000); // moved by 30 ms
    list = addHit(list, { ...hitAt(3.03 * 48000), velocity: 40 });
    list = addHit(list, hitAt(4 * 48000)); // added
    const merged = mergeHits(list, listAt([1.001, 2.001, 3.001, 5]));
    expect(samples(merged)).toEqual([1.001, 3.03, 4, 5].map((seconds) => expect.closeTo(seconds * 48000, 6) as number));
    expect(merged.hits.map(({ source }) => source)).toEqual(['detected', 'edited', 'edited', 'detected']);
    expect(merged.hits[1].velocity).toBe(40);
    expect(mergeHits(merged, listAt([2, 3])).hits).toHaveLength(2); // and the one after it
  });

  it('keeps imported hits, and leaves other drums alone', () => {
    const list = hitListOf(48000, [hitAt(48000, { source: 'imported' }), hitAt(96000)], [], [hitAt(144000)]);
    const kick = listAt([1, 3], { drum: 'kick' });
    expect(mergeHits(list, kick).hits.map(({ drum }) => drum)).toEqual(['snare', 'kick', 'kick']);
    expect(mergeHits(list, listAt([1.01, 3])).hits).toEqual([list.hits[0]]);
  });

  it('drops what was rejected where somebody has decided', () => {
    const rejected = [{ ...hitAt(48000), reason: 'bleed of kick' }];
    const detected = hitListOf(48000, [], rejected);
    expect(mergeHits(addHit(listAt([]), hitAt(48100)), detected).rejected).toEqual([]);
    expect(mergeHits(listAt([]), detected).rejected).toEqual(rejected);
    expect(addHit(detected, hitAt(48100)).rejected).toEqual([]);
  });

  it('an added hit takes the place of its neighbour and of a deletion', () => {
    const list = removeHit(addHit(listAt([1]), hitAt(1.01 * 48000)), 'snare', 48500);
    expect(list).toMatchObject({ hits: [], deletions: [{ drum: 'snare', sample: 48480 }] });
    expect(addHit(list, hitAt(48000))).toMatchObject({ hits: [{ source: 'edited' }], deletions: [] });
  });

  it('are refused where they make no sense', () => {
    expect(() => removeHit(listAt([1]), 'snare', 50000)).toThrow(
      'removeHit: snare has no hit within 20 ms of sample 50000',
    );
    expect(() => removeHit(listAt([1]), 'kick', 48000)).toThrow(RangeError);
    expect(() => addHit(listAt([1]), hitAt(-1))).toThrow('addHit: hit.sample must be 0 to 4294967295, got -1');
    expect(() => mergeHits(listAt([]), hitListOf(44100, []))).toThrow('sampleRateHz must be 48000 in both lists');
  });
});
