/** Laws that every Processor obeys, whatever it sounds like. Each processor's test calls this once. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { ParameterOptions, ParameterTable } from '../../src/core/parameters.ts';
import { defaultOf, maximumOf } from '../../src/core/parameters.ts';
import type { Processor, StreamFormat } from '../../src/core/processor.ts';
import { restoreState, type SavedState, saveState } from '../../src/core/saved-state.ts';
import { bursts, firstDifference, noise, numbers, toFloat32 } from './signals.ts';

type Signal = readonly Float64Array[] | readonly Float32Array[];

export interface Laws<T extends ParameterTable> {
  readonly create: (options: ParameterOptions<T>) => Processor;
  readonly table: T;
  /** Options under which the state changes within a few samples; half of the runs start from them. */
  readonly lively: ParameterOptions<T>;
  /** Makes drawn options obey the rules between parameters. */
  readonly arrange?: (options: ParameterOptions<T>) => ParameterOptions<T>;
  /** Whether the processor listens to a key. */
  readonly takesKey?: boolean;
  /** Numbers of channels that a key may have: as many as the processor, one, and one more, unless given. */
  readonly keyChannels?: readonly number[];
  /** Runs for each law; fewer for costly processors. */
  readonly runs?: number;
  /** Samples of each run. */
  readonly length?: number;
}

/** Options drawn from the whole legal range of a parameter table; `fixed` rows only when they are asked for. */
export function anyParameters<T extends ParameterTable>(
  table: T,
  sampleRateHz: number,
  withFixed = true,
): fc.Arbitrary<ParameterOptions<T>> {
  const rows = Object.entries(table).filter(([, row]) => withFixed || !row.fixed);
  const values = rows.map(([name, row]): [string, fc.Arbitrary<unknown>] => {
    if ('choices' in row) return [name, fc.constantFrom(...row.choices)];
    if (!('min' in row)) return [name, fc.boolean()];
    const max = maximumOf(row, sampleRateHz);
    const anywhere = row.integer
      ? fc.integer({ min: Math.ceil(row.min), max: Math.floor(max) })
      : fc.double({ min: row.min, max, noNaN: true });
    // Half of the draws lie within a tenth of the range around the default, where drums live.
    const near = (defaultOf(row, sampleRateHz) as number) / 10;
    const typical = fc.double({ min: 0, max: 1, noNaN: true }).map((x) => {
      const value = Math.min(max, Math.max(row.min, (defaultOf(row, sampleRateHz) as number) + near * (2 * x - 1)));
      return row.integer ? Math.round(value) : value;
    });
    return [name, fc.oneof(typical, anywhere)];
  });
  return fc.record(Object.fromEntries(values), { requiredKeys: [] }) as fc.Arbitrary<ParameterOptions<T>>;
}

/** Output of a processor for a whole signal in one call. */
export function render(processor: Processor, input: Signal, key?: Signal): Float32Array[] {
  const output = input.map((channel) => new Float32Array(channel.length));
  processor.process(input, output, { key: key as Float64Array[] | undefined });
  return output;
}

/** The same in Float64. */
export function render64(processor: Processor, input: Signal, key?: Signal): Float64Array[] {
  const output = input.map((channel) => new Float64Array(channel.length));
  processor.process(input, output, { key: key as Float64Array[] | undefined });
  return output;
}

/** Renders in pieces of random lengths, 0 among them; `at` is called before the piece that begins there. */
export function renderCut(
  processor: Processor,
  input: Signal,
  seed: number,
  key?: Signal,
  at: Readonly<Record<number, () => void>> = {},
): Float32Array[] {
  const next = numbers(seed);
  const length = input[0].length;
  const output = input.map(() => new Float32Array(length));
  const stops = [...Object.keys(at).map(Number), length].sort((a, b) => a - b);
  for (let start = 0; start < length;) {
    at[start]?.();
    const stop = stops.find((s) => s > start) ?? length;
    const size = next() < 0.1 ? 0 : 1 + Math.floor(next() ** 3 * 900);
    const end = Math.min(stop, start + size);
    if (end === start) {
      processor.process(input, output, { start, end, key: key as Float64Array[] | undefined });
      continue;
    }
    processor.process(
      input.map((x) => x.subarray(start, end)) as Float64Array[],
      output.map((y) => y.subarray(start, end)),
      { key: key?.map((x) => x.subarray(start, end)) as Float64Array[] | undefined },
    );
    start = end;
  }
  return output;
}

const same = (a: Signal, b: Signal): number => Math.max(...a.map((channel, c) => firstDifference(channel, b[c])));

export function obeysProcessorLaws<T extends ParameterTable>(format: StreamFormat, laws: Laws<T>): void {
  const {
    create,
    table,
    lively,
    arrange = (options) => options,
    takesKey = false,
    keyChannels = [format.channels, 1, format.channels + 1],
    runs = 25,
    length = 3000,
  } = laws;
  const rate = format.sampleRateHz;
  const drawn = (withFixed: boolean) => anyParameters(table, rate, withFixed);
  const options = fc
    .oneof(
      fc.constant(lively),
      drawn(true),
      drawn(true).map((o) => ({ ...lively, ...o })),
    )
    .map(arrange);
  const seed = fc.integer({ min: 1, max: 1e9 });
  const signal = (s: number, n = length) =>
    Array.from({ length: format.channels }, (_, c) => toFloat32(bursts(n, s + c)));
  const keyFor = (s: number, n = length): Float32Array[] | undefined =>
    takesKey && s % 4 > 0
      ? Array.from({ length: keyChannels[s % keyChannels.length] }, (_, c) => toFloat32(bursts(n, s + 77 + c)))
      : undefined;
  const law = (
    name: string,
    holds: (make: () => Processor, s: number, options: ParameterOptions<T>) => void,
    n = runs,
  ) =>
    it(name, () => {
      fc.assert(
        fc.property(options, seed, (o, s) => holds(() => create(o), s, o)),
        { numRuns: n },
      );
    });

  describe('processor laws', () => {
    law('output does not depend on how the signal is cut into blocks', (make, s) => {
      const input = signal(s),
        key = keyFor(s);
      expect(same(renderCut(make(), input, s, key), render(make(), input, key))).toBe(-1);
    });

    law(
      'nor over a long signal with a silent tail',
      (make, s) => {
        const input = signal(s, 20_000),
          key = keyFor(s, 20_000);
        expect(same(renderCut(make(), input, s, key), render(make(), input, key))).toBe(-1);
      },
      3,
    );

    law('a set at a given sample gives the same bits however the signal is cut', (make, s) => {
      const input = signal(s),
        key = keyFor(s);
      const changes = fc.sample(drawn(false), { numRuns: 2, seed: s });
      const at = numbers(s + 5);
      const first = Math.floor(at() * length * 0.6),
        second = first + 1 + Math.floor(at() * 700);
      const cut = (cutSeed: number) => {
        const processor = make();
        const change = (options: ParameterOptions<T>) => () => {
          try {
            processor.set(options);
          } catch (error) {
            if (!(error instanceof RangeError)) throw error; // a rule between parameters: refused, nothing changed
          }
        };
        return renderCut(processor, input, cutSeed, key, { [first]: change(changes[0]), [second]: change(changes[1]) });
      };
      expect(same(cut(s), cut(s + 1))).toBe(-1);
    });

    law('may process in place', (make, s) => {
      const input = signal(s),
        key = keyFor(s);
      const block = input.map((channel) => channel.slice());
      make().process(block, block, { key });
      expect(same(block, render(make(), input, key))).toBe(-1);
    });

    law('Float64 in and out gives the same samples before rounding', (make, s) => {
      const input = signal(s),
        key = keyFor(s);
      const wide = render64(
        make(),
        input.map((x) => Float64Array.from(x)),
        key?.map((x) => Float64Array.from(x)),
      );
      expect(same(wide.map(toFloat32), render(make(), input, key))).toBe(-1);
    });

    law('rows of 128 trusted doubles, worked on in place, give the same bits', (make, s) => {
      const wide = (rows: Signal | undefined) => rows?.map((x) => Float64Array.from(x));
      const input = wide(signal(s)) as Float64Array[],
        key = wide(keyFor(s));
      const expected = render64(make(), input, key);
      const processor = make(),
        next = numbers(s);
      const window = (x: Float64Array, start: number): Float64Array => {
        const row = new Float64Array(128);
        row.set(x.subarray(start, start + 128));
        return row;
      };
      const output = input.map((x) => new Float64Array(x.length));
      for (let start = 0, count = 0; start < length; start += count) {
        count = Math.min(length - start, next() < 0.5 ? 128 : 1 + Math.floor(128 * next()));
        const rows = input.map((x) => window(x, start));
        processor.process(rows, rows, { end: count, trusted: true, key: key?.map((x) => window(x, start)) });
        output.forEach((y, c) => y.set(rows[c].subarray(0, count), start));
      }
      expect(same(output, expected)).toBe(-1);
    });

    law('start and end process that part and leave the rest alone', (make, s) => {
      const input = signal(s),
        key = keyFor(s);
      const [start, end] = [s % 100, length - (s % 333)];
      const output = input.map((x) => new Float32Array(x.length).fill(9));
      make().process(input, output, { start, end, key });
      const part = render(
        make(),
        input.map((x) => x.slice(start, end)),
        key?.map((x) => x.slice(start, end)),
      );
      expect(
        same(
          output.map((y) => y.slice(start, end)),
          part,
        ),
      ).toBe(-1);
      expect(output.every((y) => y.subarray(0, start).every((v) => v === 9))).toBe(true);
      expect(output.every((y) => y.subarray(end).every((v) => v === 9))).toBe(true);
    });

    law('reset() equals a new object with the current parameters', (make, s, o) => {
      const input = signal(s),
        key = keyFor(s);
      const processor = make();
      const change = fc.sample(drawn(false), { numRuns: 1, seed: s })[0];
      let current = o;
      render(processor, signal(s + 1), keyFor(s + 1));
      try {
        processor.set(change);
        current = { ...o, ...change };
      } catch (error) {
        if (!(error instanceof RangeError)) throw error; // a rule between parameters: nothing has changed
      }
      render(processor, signal(s + 2, 100), keyFor(s + 2, 100));
      processor.reset();
      expect(same(render(processor, input, key), render(create(current), input, key))).toBe(-1);
      expect(render(processor, signal(s, 1), keyFor(s, 1)) && processor.nonFiniteInputs).toBe(0);
    });

    if (takesKey) {
      law('traces the same however the signal is cut, and only between start and end', (make, s) => {
        const input = signal(s),
          key = keyFor(s);
        const traced = (cuts: readonly number[]) => {
          const rows = () => input.map(() => new Float64Array(length).fill(7));
          const trace = { levelDb: rows(), gainDb: rows() };
          const processor = make();
          const output = input.map((x) => new Float32Array(x.length));
          cuts.slice(1).forEach((end, i) => processor.process(input, output, { key, trace, start: cuts[i], end }));
          return [...trace.levelDb, ...trace.gainDb];
        };
        const whole = traced([10, length - 10]);
        expect(same(traced([10, 11, 300, 300, 811, length - 10]), whole)).toBe(-1);
        expect(whole.every((row) => [0, 9, length - 10, length - 1].every((i) => row[i] === 7))).toBe(true);
        expect(whole.every((row) => row.slice(10, length - 10).every((dB) => dB >= -200 && dB < 200))).toBe(true);
      });
    }

    law('goes on from a saved state with the same bits', (make, s) => {
      const input = signal(s),
        key = keyFor(s);
      const half = Math.floor(length / 2) + (s % 200);
      const change = fc.sample(drawn(false), { numRuns: 1, seed: s })[0];
      const part = (x: Signal, from: number, to: number) =>
        x.map((channel) => channel.slice(from, to)) as Float32Array[];
      const processor = make();
      render(processor, part(input, 0, half), key && part(key, 0, half));
      try {
        processor.set(change); // saved in the middle of a glide
      } catch (error) {
        if (!(error instanceof RangeError)) throw error;
      }
      render(processor, part(input, half, half + 100), key && part(key, half, half + 100));
      const other = make();
      restoreState(other, JSON.parse(JSON.stringify(saveState(processor))) as SavedState);
      const rest = part(input, half + 100, length),
        restKey = key && part(key, half + 100, length);
      expect(same(render(other, rest, restKey), render(processor, rest, restKey))).toBe(-1);
    });

    law('leaves input and key alone and writes finite samples', (make, s) => {
      const input = signal(s),
        key = keyFor(s);
      const copies = [...input, ...(key ?? [])].map((x) => x.slice());
      const output = render(make(), input, key);
      expect(output.every((channel) => channel.every(Number.isFinite))).toBe(true);
      expect(same([...input, ...(key ?? [])], copies)).toBe(-1);
    });

    law('samples that are not finite or above 1e6 count as 0', (make, s) => {
      const input = signal(s),
        key = keyFor(s);
      const bad = [NaN, Infinity, -Infinity, 1.1e6, -3e38];
      const next = numbers(s);
      let refused = 0;
      const spoil = (x: Float32Array): [Float32Array, Float32Array] => {
        const spoilt = x.slice(),
          zeroed = x.slice();
        for (let i = 0; i < x.length; i++) {
          if (next() > 0.01) continue;
          spoilt[i] = bad[Math.floor(next() * bad.length)];
          zeroed[i] = 0;
          refused++;
        }
        return [spoilt, zeroed];
      };
      const inputs = input.map(spoil),
        keys = key?.map(spoil);
      const processor = make();
      const output = render(
        processor,
        inputs.map(([x]) => x),
        keys?.map(([x]) => x),
      );
      const clean = render(
        make(),
        inputs.map(([, x]) => x),
        keys?.map(([, x]) => x),
      );
      expect(processor.nonFiniteInputs).toBe(refused);
      expect(same(output, clean)).toBe(-1);
    });

    law('full-scale noise at any setting never leaves it broken', (make, s) => {
      const processor = make();
      const loud = Array.from({ length: format.channels }, (_, c) => noise(2000, s + c, 1e6));
      render(processor, loud);
      expect(render(processor, signal(s)).every((channel) => channel.every(Number.isFinite))).toBe(true);
    });

    it('states whole latency and a tail', () => {
      const processor = create(lively);
      expect(Number.isInteger(processor.latencySamples) && processor.latencySamples >= 0).toBe(true);
      expect(processor.tailSamples >= 0).toBe(true);
    });

    it('falls silent after its tail', () => {
      const processor = create(lively);
      const total = processor.latencySamples + processor.tailSamples;
      const input = Array.from({ length: format.channels }, (_, c) => toFloat32(noise(4000, 9 + c)));
      const before = render(processor, input);
      const rest = Math.min(total, 20 * rate);
      const after = render(
        processor,
        input.map(() => new Float32Array(rest + 4000)),
      );
      expect(after.every((x) => x.every(Number.isFinite))).toBe(true);
      if (total > 20 * rate) return;
      const loudest = Math.max(
        ...[...before, ...after].flatMap((x) => [x.reduce((m, v) => Math.max(m, Math.abs(v)), 0)]),
      );
      const left = Math.max(...after.map((x) => x.subarray(rest).reduce((m, v) => Math.max(m, Math.abs(v)), 0)));
      expect(left).toBeLessThanOrEqual(Math.max(loudest, 1) * 1e-6);
    });

    it('refuses what it does not know, by name, and changes nothing', () => {
      const processor = create(lively);
      const input = signal(3),
        key = keyFor(3);
      expect(() => processor.set({ noSuchThing: 1 })).toThrow(TypeError);
      expect(() => processor.set({ noSuchThing: 1 })).toThrow(new RegExp(`^${processor.constructor.name}: `));
      for (const [name, row] of Object.entries(table)) {
        if (row.fixed) {
          expect(() => processor.set({ [name]: row.default })).toThrow(`${name} is fixed`);
          expect(() => create({ ...lively, [name]: 'nonsense' })).toThrow(name);
          continue;
        }
        expect(() => processor.set({ [name]: null })).toThrow(TypeError);
        if ('min' in row) {
          expect(() => processor.set({ [name]: NaN })).toThrow(RangeError);
          expect(() => processor.set({ [name]: row.min - 1 })).toThrow(`${name} must be ${row.min} to`);
          expect(() => processor.set({ [name]: maximumOf(row, rate) * 2 + 1 })).toThrow(RangeError);
          expect(() => processor.set({ [name]: '1' })).toThrow(TypeError);
        }
      }
      expect(same(render(processor, input, key), render(create(lively), input, key))).toBe(-1);
    });

    it('refuses blocks of the wrong shape', () => {
      const processor = create(lively);
      const { channels } = format;
      const block = (n: number, size = 8) => Array.from({ length: n }, () => new Float32Array(size));
      expect(() => processor.process(block(channels + 1), block(channels + 1))).toThrow(/must have/);
      expect(() => processor.process(block(channels), block(channels, 9))).toThrow(/length must be 8, got 9/);
      expect(() => processor.process([[1, 2]] as never, block(1))).toThrow(/must/);
      expect(() => processor.process(block(channels), block(channels), { start: 3, end: 2 })).toThrow(
        /start and end must be/,
      );
      if (!takesKey)
        expect(() => processor.process(block(channels), block(channels), { key: block(1) })).toThrow(/no key/);
    });
  });
}
