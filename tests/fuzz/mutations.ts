/** Mutations of things that are read: bytes, texts and trees. A seed gives the same mutation again. */
import { Random } from '../../src/core/random.ts';

/** Whole random numbers below a limit. */
export type Draw = (below: number) => number;

export function drawing(seed: number): Draw {
  const random = new Random(seed);
  return (below) => Math.floor(random.next() * below);
}

export const pick = <E>(draw: Draw, list: readonly E[]): E => list[draw(list.length)];

/** Bytes that break arithmetic: signs, overflow, all ones. */
const FIELDS = [
  0, 1, 2, 7, 0x7f, 0x80, 0xff, 0x7fff, 0x8000, 0xffff, 0x7fff_ffff, 0x8000_0000, 0xffff_fffe, 0xffff_ffff,
];

/** One to six faults: a bit, a byte, a field of either byte order, a cut, bytes lost, doubled or swapped. */
export function mutatedBytes(base: Uint8Array, draw: Draw): Uint8Array {
  let bytes = Array.from(base);
  for (let faults = 1 + draw(6); faults > 0; faults--) {
    // Most of the structure stands at the beginning.
    const at = draw(draw(3) === 0 ? bytes.length + 1 : Math.min(bytes.length, 120) + 1);
    const field = pick(draw, FIELDS);
    const big = [field >>> 24, (field >>> 16) & 255, (field >>> 8) & 255, field & 255];
    const change = draw(8);
    if (change === 0) bytes[at] = (bytes[at] ?? 0) ^ (1 << draw(8));
    else if (change === 1) bytes[at] = draw(256);
    else if (change === 2) bytes.splice(at, 4, ...big);
    else if (change === 3) bytes.splice(at, 4, ...big.reverse());
    else if (change === 4) bytes = bytes.slice(0, at);
    else if (change === 5) bytes.splice(at, 1 + draw(12));
    else if (change === 6)
      bytes.splice(at, 0, ...bytes.slice(draw(bytes.length + 1), draw(bytes.length + 1)).slice(0, 40));
    else bytes.splice(at, 2, field & 255, (field >>> 8) & 255);
  }
  return Uint8Array.from(bytes);
}

const SNIPPETS = [
  ',',
  '"',
  '""',
  '\n',
  '\r\n',
  '\r',
  '\0',
  '-',
  '1e999',
  'NaN',
  '0x10',
  '9'.repeat(400),
  '🥁',
  'drum',
  ' ',
];

/** One to six faults in a text. */
export function mutatedText(base: string, draw: Draw): string {
  let text = base;
  for (let faults = 1 + draw(6); faults > 0; faults--) {
    const at = draw(text.length + 1),
      end = at + draw(8);
    const change = draw(5);
    if (change === 0) text = text.slice(0, at) + text.slice(end);
    else if (change === 1)
      text = text.slice(0, at) + String.fromCharCode(draw(draw(2) === 0 ? 128 : 65_536)) + text.slice(end);
    else if (change === 2) text = text.slice(0, at) + pick(draw, SNIPPETS) + text.slice(at);
    else if (change === 3) text = text.slice(0, at) + text.slice(draw(text.length + 1)).slice(0, 60) + text.slice(at);
    else text = text.slice(0, at);
  }
  return text;
}

/** Values that no member expects. */
const VALUES: readonly unknown[] = [
  null, undefined, true, false, 0, -0, -1, 1, 0.5, 1e-320, 1e308, 2 ** 53, -(2 ** 31), NaN, Infinity, -Infinity,
  '', 'a', '__proto__', 'constructor', 'mixBus', 'x'.repeat(5000), [], {}, [null], [[]], { type: 'gain' }, { hits: 'snare' },
  JSON.parse('{ "__proto__": { "a": 1 } }'), 10n, Symbol('s'), () => 1, new Float32Array(3),
]; // prettier-ignore

/** One of them, as a copy: what is mutated further must not be there for the next input. */
function anyValue(draw: Draw): unknown {
  const value = pick(draw, VALUES);
  return typeof value === 'object' ? structuredClone(value) : value;
}

const NAMES = [
  '__proto__',
  'constructor',
  'toString',
  'length',
  '',
  'a b',
  'gainDb',
  'type',
  'hits',
  '0',
  'key',
  'bands',
];

type Tree = Record<string, unknown>;

const isTree = (value: unknown): value is Tree =>
  typeof value === 'object' && value !== null && !ArrayBuffer.isView(value);

function nodesOf(value: unknown, into: Tree[] = []): Tree[] {
  if (isTree(value) && into.length < 4000) {
    into.push(value);
    for (const child of Object.values(value)) nodesOf(child, into);
  }
  return into;
}

/** One to four faults in a copy of a tree of objects and lists: a value, a name, a member lost, doubled, moved or nested. */
export function mutatedTree(base: unknown, draw: Draw): unknown {
  const holder: Tree = { root: structuredClone(base) };
  for (let faults = 1 + draw(4); faults > 0; faults--) {
    const nodes = nodesOf(holder);
    const node = pick(draw, nodes);
    // A list has places and no names: what comes as JSON has nothing else.
    const names = Object.keys(node).length > 0 ? Object.keys(node) : Array.isArray(node) ? ['0'] : NAMES;
    const name = pick(draw, names);
    const put = (key: string, value: unknown) => {
      Object.defineProperty(node, key, { value, enumerable: true, configurable: true, writable: true });
    };
    const change = draw(8);
    if (change <= 1) put(name, anyValue(draw));
    else if (change === 2 && !Array.isArray(node)) put(pick(draw, NAMES), anyValue(draw));
    else if (change === 3 && !Array.isArray(node)) Reflect.deleteProperty(node, name);
    else if (change === 4 && Array.isArray(node)) node.splice(draw(node.length + 1), draw(3));
    else if (change === 5) put(name, structuredClone(pick(draw, nodesOf(base))));
    else if (change === 6 && typeof node[name] === 'number')
      put(name, node[name] * pick(draw, [-1, 0, 1e3, 1e9, 1e-9]));
    else if (change === 7) {
      let deep: unknown = Object.hasOwn(node, name) ? node[name] : 1; // what all objects inherit stays out of it
      for (let d = draw(30); d > 0; d--) deep = draw(2) === 0 ? [deep] : { [name]: deep };
      put(name, deep);
    } else if (Array.isArray(node)) for (let n = draw(20); n > 0; n--) node.push(node[0]);
  }
  return holder['root'];
}
