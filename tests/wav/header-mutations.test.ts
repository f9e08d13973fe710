/** Damaged headers: every one either decodes or is refused with what and where, at once and in little memory. */
import { readFileSync } from 'node:fs';
import { afterEach, describe, expect, it, vi } from 'vitest';
import { bytesSource } from '../../src/wav/byte-io.ts';
import { decodeWav } from '../../src/wav/decode-wav.ts';
import { WavReader } from '../../src/wav/reader.ts';
import { WavError } from '../../src/wav/wav-format.ts';
import { chunk, extensibleFormat, format, fromHex, riff, u32, u64 } from '../support/wav-bytes.ts';

const { files } = JSON.parse(readFileSync(new URL('../vectors/wav_headers.json', import.meta.url), 'utf8')) as {
  files: Record<string, { hex: string }>;
};

/** The published files, and three longer ones with everything a header can have. */
const bases = [
  ...Object.values(files).map(({ hex }) => fromHex(hex)),
  riff([
    chunk('LIST', [1, 2, 3]),
    chunk('fmt ', format({ channels: 6, bits: 24 })),
    chunk('data', new Array(900).fill(9)),
  ]),
  riff([
    chunk('JUNK', new Array(28).fill(0)),
    chunk('fmt ', extensibleFormat({ tag: 3, channels: 8, bits: 64 })),
    chunk('fact', u32(10)),
    chunk('data', new Array(640).fill(0x3f)),
  ]),
  riff(
    [
      chunk('ds64', [...u64(1172), ...u64(1000), ...u64(500), ...u32(1), ...chunk('bext', [], 10), ...u32(0)]),
      chunk('bext', new Array(10).fill(65), 0xffff_ffff),
      chunk('fmt ', format({ channels: 2 })),
      chunk('data', new Array(1000).fill(1), 0xffff_ffff),
    ],
    'RF64',
    0xffff_ffff,
  ),
];

/** Values that break arithmetic: signs, overflow, all ones, and a little off. */
const nasty = [
  0, 1, 2, 3, 7, 0x7f, 0x80, 0xff, 0x7fff, 0x8000, 0xffff, 0x7fff_ffff, 0x8000_0000, 0xffff_fffe, 0xffff_ffff,
];

/** Park-Miller generator, so that a failing case can be run again by its seed. */
function generator(seed: number): (below: number) => number {
  let state = (seed * 7919 + 1) % 2_147_483_647;
  return (below) => {
    state = (state * 48_271) % 2_147_483_647;
    return state % below;
  };
}

/** One to four faults in the first bytes: a byte, a field, a cut, bytes lost, bytes doubled. */
function mutate(seed: number): Uint8Array {
  const random = generator(seed);
  let bytes = Array.from(bases[seed % bases.length]);
  for (let faults = 1 + random(4); faults > 0; faults--) {
    const reach = Math.max(1, Math.min(bytes.length, 110));
    const at = random(reach);
    const value = nasty[random(nasty.length)];
    switch (random(6)) {
      case 0:
        bytes[at] = random(256);
        break;
      case 1:
        bytes.splice(at & ~1, 2, ...u32(value).slice(0, 2));
        break;
      case 2:
      case 3:
        bytes.splice(at & ~3, 4, ...u32(value));
        break;
      case 4:
        bytes = bytes.slice(0, at);
        break;
      default:
        if (random(2) === 0) bytes.splice(at, 1 + random(8));
        else bytes.splice(at, 0, ...bytes.slice(at, at + 1 + random(24)));
    }
  }
  return Uint8Array.from(bytes);
}

/** Counts the bytes of every array that is made until `restore`. */
function countAllocations(): { largest: number; total: number } {
  const seen = { largest: 0, total: 0 };
  for (const name of ['ArrayBuffer', 'Uint8Array', 'Float32Array', 'Float64Array'] as const) {
    const real = globalThis[name];
    vi.stubGlobal(
      name,
      new Proxy(real, {
        construct(target, args: [number]) {
          const made = Reflect.construct(target, args) as { byteLength: number };
          seen.largest = Math.max(seen.largest, made.byteLength);
          seen.total += made.byteLength;
          return made;
        },
      }),
    );
  }
  return seen;
}

/** Opens a file and reads its end; `decoded`, `refused` with a clear message, or what went wrong. */
function tryToRead(bytes: Uint8Array): { outcome: string; ms: number } {
  const begin = performance.now();
  let outcome = 'decoded';
  try {
    const reader = new WavReader(bytesSource(bytes));
    const into = Array.from({ length: reader.channels }, () => new Float32Array(2));
    const read = reader.read(Math.max(0, reader.frames - 2), into);
    if (reader.frames * reader.channels > bytes.length || read > 2) outcome = 'more samples than there are';
  } catch (error) {
    const clear = error instanceof WavError && /^WavReader: at byte \d+: .* must /.test(error.message);
    outcome = clear && error.byteOffset <= bytes.length ? 'refused' : String(error);
  }
  return { outcome, ms: performance.now() - begin };
}

describe('WavReader on 4000 damaged headers', () => {
  afterEach(() => void vi.unstubAllGlobals());

  const cases = Array.from({ length: 4000 }, (_, seed) => mutate(seed));
  const mebibyte = 2 ** 20;

  it('decodes or refuses each within 50 ms, in at most 1 MiB of memory', () => {
    const unexpected: string[] = [];
    const outcomes = { decoded: 0, refused: 0 };
    let slowestMs = 0;
    let largestTotal = 0;
    for (const [seed, bytes] of cases.entries()) {
      const memory = countAllocations();
      const { outcome, ms } = tryToRead(bytes);
      vi.unstubAllGlobals();
      // Another program may have had the processor for a while: what is slow must be slow twice.
      const surelyMs = ms > 50 ? Math.min(ms, tryToRead(bytes).ms) : ms;
      if (outcome === 'decoded' || outcome === 'refused') outcomes[outcome]++;
      else unexpected.push(`${seed}: ${outcome}`);
      slowestMs = Math.max(slowestMs, surelyMs);
      largestTotal = Math.max(largestTotal, memory.total);
    }
    const { decoded, refused } = outcomes;
    console.log(`damaged headers: ${decoded} decoded, ${refused} refused, slowest ${slowestMs.toFixed(1)} ms, most memory ${largestTotal} bytes`); // prettier-ignore
    expect(unexpected).toEqual([]);
    // The faults must reach both outcomes, or nothing was tried.
    expect(Math.min(decoded, refused)).toBeGreaterThan(400);
    expect(slowestMs).toBeLessThan(50);
    expect(largestTotal).toBeLessThan(mebibyte);
  });

  it('decodes each in memory bounded by the file: 8 bytes per sample and the scratch', () => {
    const tooMuch: string[] = [];
    for (const [seed, bytes] of cases.entries()) {
      const memory = countAllocations();
      try {
        decodeWav(bytes);
      } catch (error) {
        if (!(error instanceof WavError)) tooMuch.push(`${seed}: ${String(error)}`);
      }
      vi.unstubAllGlobals();
      if (memory.total > mebibyte + 8 * bytes.length) tooMuch.push(`${seed}: ${memory.total} bytes`);
    }
    expect(tooMuch).toEqual([]);
  });

  it('counts what is allocated (a check of the check)', () => {
    const memory = countAllocations();
    decodeWav(riff([chunk('fmt ', format()), chunk('data', new Array(2000).fill(0))]));
    expect(memory.largest).toBe(8 * 8192); // the samples of one piece
    expect(memory.total).toBeGreaterThan(8 * 8192 + 8 * 1000);
  });

  it('takes 65535 channels in bounded memory', () => {
    const memory = countAllocations();
    const fmt = chunk('fmt ', format({ channels: 65_535, bits: 8 }));
    const reader = new WavReader(bytesSource(riff([fmt, chunk('data', [1, 2, 3])])));
    expect([reader.channels, reader.frames]).toEqual([65_535, 0]);
    expect(memory.total).toBeLessThan(mebibyte);
  });

  it('gives up after a bounded number of reads on an endless source', () => {
    let reads = 0;
    const endless = {
      size: Number.MAX_SAFE_INTEGER,
      read(offset: number, into: Uint8Array, length: number) {
        reads++;
        into.fill(0);
        if (offset === 0) into.set(riff([]));
        return length;
      },
    };
    expect(() => new WavReader(endless)).toThrow('among the first 1024 chunks');
    expect(reads).toBe(1 + 1024);
  });
});
