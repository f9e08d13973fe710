import { describe, expect, it } from 'vitest';
import { route, type RoutedStrip } from '../../src/mix/routing.ts';

const strip = (path: string, latencies: number[], to: string[], keys: [number, string][] = []): RoutedStrip => ({
  path,
  latencies,
  feeds: to.map((t, i) => ({ to: t, where: `${path}.feed${i}` })),
  keys: keys.map(([block, from]) => ({ block, from, where: `${path}.chain[${block}].key` })),
});

describe('route', () => {
  it('starts a strip when the latest of those that feed it has ended', () => {
    const timings = route([
      strip('mix', [5], []),
      strip('a', [10, 20], ['mix']),
      strip('b', [], ['mix', 'c']),
      strip('c', [7], ['mix']),
    ]);
    expect(timings.get('a')).toEqual({ start: 0, end: 30 });
    expect(timings.get('c')).toEqual({ start: 0, end: 7 });
    expect(timings.get('mix')).toEqual({ start: 30, end: 35 });
    expect([...timings.keys()].at(-1)).not.toBe('a');
    expect([...timings.keys()].indexOf('mix')).toBe(3);
  });

  it('starts a keyed strip late enough for its key, less what the blocks before it take', () => {
    const timings = route([
      strip('keyed', [4, 6], ['mix'], [[1, 'kick']]),
      strip('kick', [100], ['mix']),
      strip('mix', [], []),
    ]);
    expect(timings.get('keyed')).toEqual({ start: 96, end: 106 });
    expect(timings.get('mix')).toEqual({ start: 106, end: 106 });
  });

  it('refuses a loop by where it closes', () => {
    expect(() => route([strip('a', [], ['b']), strip('b', [], ['a'])])).toThrow(
      /must not close a loop, got .*a <- b <- a/,
    );
    expect(() => route([strip('a', [], [], [[0, 'a']])])).toThrow('a.chain[0].key must not close a loop, got a <- a');
  });
});
