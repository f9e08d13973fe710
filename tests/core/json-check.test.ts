import { describe, expect, it } from 'vitest';
import {
  member,
  requireList,
  requireMembers,
  requireName,
  requireObject,
  requireText,
  split,
} from '../../src/core/json-check.ts';

/** Values of every kind that JSON has, and none. */
const kinds: readonly [name: string, value: unknown][] = [
  ['object', { a: 1 }],
  ['list', [1]],
  ['text', 'crush'],
  ['empty text', ''],
  ['number', 5],
  ['switch', true],
  ['null', null],
  ['nothing', undefined],
];
const others = (...names: readonly string[]) => kinds.filter(([name]) => !names.includes(name));

describe('checks of JSON', () => {
  it('hand back what is right', () => {
    const [object, list] = [{ a: 1 }, [1, 2]];
    expect(requireObject('x', object)).toBe(object);
    expect(requireList('x', list)).toBe(list);
    expect(requireText('x', 'text')).toBe('text');
    expect(requireName('x', 'room', ['crush', 'room'])).toBe('room');
  });

  it.each(others('object'))('take no %s for an object', (_, value) => {
    expect(() => requireObject('channels.snare', value)).toThrow(/^channels\.snare must be an object, got /);
    expect(() => requireObject('channels.snare', value)).toThrow(TypeError);
  });

  it.each(others('list'))('take no %s for a list', (_, value) => {
    expect(() => requireList('blocks', value)).toThrow(/^blocks must be a list, got /);
  });

  it.each(others('text'))('take no %s for a text', (_, value) => {
    expect(() => requireText('name', value)).toThrow(/^name must be a text, got /);
  });

  it('show what they got, cut where it is long', () => {
    expect(() => requireText('name', undefined)).toThrow('name must be a text, got nothing');
    expect(() => requireText('name', 5)).toThrow('name must be a text, got 5');
    const fits = [10, ...[...'x'.repeat(28)].map(() => 1)]; // [10,1, ... ]: 60 letters
    expect(() => requireText('name', fits)).toThrow(new TypeError(`name must be a text, got ${JSON.stringify(fits)}`));
    expect(JSON.stringify(fits)).toHaveLength(60);
    const long = [10, ...fits.slice(1, -1), 10];
    const shown = `${JSON.stringify(long).slice(0, 57)}...`;
    expect(() => requireText('name', long)).toThrow(new TypeError(`name must be a text, got ${shown}`));
  });

  it('name the nearest of what there is', () => {
    expect(() => requireName('to', 'crsh', ['crush', 'room', 'mixBus'])).toThrow(
      new TypeError('to must be one of crush, room or mixBus, got "crsh"; the nearest name is crush'),
    );
    expect(() => requireName('to', 'romm', ['room'])).toThrow('to must be room, got "romm"; the nearest name is room');
    expect(() => requireName('to', 'room', [])).toThrow('to must name something that exists, got "room"');
    expect(() => requireName('to', 7, ['room'])).toThrow('to must be a text, got 7');
  });

  it('refuse members that nobody knows, with their path', () => {
    const known = ['gainDb', 'pan'];
    expect(() => {
      requireMembers('snare', { gainDb: 1, pan: 0 }, known);
    }).not.toThrow();
    expect(() => {
      requireMembers('snare', { gainDb: 1, pann: 0 }, known);
    }).toThrow(new TypeError('snare.pann is unknown; the nearest name is pan'));
    expect(() => {
      requireMembers('', { pann: 0 }, known);
    }).toThrow(/^pann is unknown/);
    expect([member('', 'a'), member('a', 'b')]).toEqual(['a', 'a.b']);
  });

  it('part the members that are named from the others', () => {
    expect(split({ a: 1, b: 2, c: 3 }, ['c', 'a', 'x'])).toEqual([{ a: 1, c: 3 }, { b: 2 }]);
  });
});
