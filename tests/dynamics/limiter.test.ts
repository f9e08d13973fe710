import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { Gain } from '../../src/core/gain.ts';
import { restoreState, saveState } from '../../src/core/saved-state.ts';
import { Limiter, type LimiterOptions, limiterParameters } from '../../src/dynamics/limiter.ts';
import { adversary } from '../support/adversary.ts';
import { idealPeak, limitBand } from '../support/band-limited.ts';
import { obeysProcessorLaws, render, render64 } from '../support/processor-laws.ts';
import { bursts, constant, firstDifference, impulse, noise, numbers, peak, toFloat32 } from '../support/signals.ts';

const mono = { sampleRateHz: 48000, channels: 1 };
const stereo = { sampleRateHz: 48000, channels: 2 };
const slow = { sampleRateHz: 8000, channels: 2 }; // whose glides take 160 samples

/** Largest 32-bit float that is not above 10^(dB/20), found by stepping through the bits. */
function ceilingOf(db: number): number {
  const bits = new Int32Array(1),
    float = new Float32Array(bits.buffer);
  float[0] = 1.000001 * 10 ** (db / 20);
  while (float[0] > 10 ** (db / 20)) bits[0]--;
  return float[0];
}

/** Gain in dB of every sample, from the trace; a row for each channel. */
function gainTrace(limiter: Limiter, input: readonly Float64Array[], key?: readonly Float64Array[]): Float64Array[] {
  const gainDb = input.map((x) => new Float64Array(x.length));
  limiter.process(
    input,
    input.map((x) => new Float64Array(x.length)),
    { key, trace: { gainDb } },
  );
  return gainDb;
}

describe('Limiter', () => {
  obeysProcessorLaws(stereo, {
    create: (o) => new Limiter(stereo, o),
    table: limiterParameters,
    lively: { ceilingDb: -20, releaseMs: 1, lookaheadMs: 0.3, linkPercent: 50, truePeak: true },
    takesKey: true,
  });

  it('never exceeds its ceiling: 10^7 samples, any setting, as 32-bit and as 64-bit floats', () => {
    const next = numbers(11);
    let samples = 0,
      over = 0,
      closest = 0;
    for (let run = 0; samples < 1e7; run++) {
      const options: LimiterOptions = {
        ceilingDb: -60 * next() ** 3,
        releaseMs: 500 * next() ** 3,
        lookaheadMs: 0.1 + 10 * next() ** 2,
        linkPercent: [100, 0, 100 * next()][run % 3],
      };
      const input = [adversary(50_000, 2 * run + 1), adversary(50_000, 3 * run + 2)];
      const output =
        run % 2 ? render(new Limiter(stereo, options), input) : render64(new Limiter(stereo, options), input);
      const ceiling = ceilingOf(options.ceilingDb ?? 0);
      for (const y of output) {
        samples += y.length;
        for (let i = 0; i < y.length; i++) {
          const size = Math.abs(y[i]);
          if (size > ceiling) over++;
          if (size > closest * ceiling) closest = size / ceiling;
        }
      }
    }
    expect(over).toBe(0);
    expect(closest).toBeGreaterThan(1 - 1e-8); // and does not stay away from it
  });

  it('holds it to the last bit of a double, at levels whose gain is a whole number of steps', () => {
    // c / level rounds to q, but q times level, which was rounded up, rounds to more than c.
    const ceiling = ceilingOf(-1);
    const levels: number[] = [];
    for (let k = 2 ** 27; levels.length < 200; k++) {
      const q = k / 2 ** 28,
        level = ceiling / q;
      if (ceiling / level === q && level * q > ceiling) levels.push(level);
    }
    const x = Float64Array.from(levels.flatMap((level) => Array<number>(20).fill(level)));
    const [y] = render64(new Limiter(mono, { ceilingDb: -1, lookaheadMs: 0.1, releaseMs: 0 }), [x]);
    expect(peak(y)).toBeLessThanOrEqual(ceiling);
    // It stays away from it by no more than two steps of the gain, of 2^-28: each level is settled after a look-ahead of 5.
    const settled = levels.map((_, i) => y[20 * i + 14]);
    expect(Math.min(...settled)).toBeGreaterThan(ceiling * (1 - 2 ** -27));
  });

  it('stays at or below the largest 32-bit float that is not above 10^(dB/20), for every ceiling and link', () => {
    for (let tenths = 0; tenths < 60; tenths++) {
      const ceilingDb = -tenths / 10;
      const limiter = new Limiter(slow, { ceilingDb, linkPercent: 50 * (tenths % 3), lookaheadMs: 0.3 });
      const y = render64(limiter, [constant(1.1 + tenths / 70, 12), constant(1.5, 12)]);
      expect(Math.max(...y.map(peak))).toBeLessThanOrEqual(ceilingOf(ceilingDb));
    }
  });

  it('is an exact delayed copy of what stays at or below the ceiling', () => {
    for (const ceilingDb of [0, -1, -6, -33.3]) {
      const ceiling = ceilingOf(ceilingDb);
      const x = toFloat32(noise(5000, 3, ceiling));
      x.fill(ceiling, 1000, 1100).fill(-ceiling, 1100, 1150).fill(-0, 1150, 1160);
      const limiter = new Limiter(mono, { ceilingDb, lookaheadMs: 2, linkPercent: 40 });
      expect(limiter.latencySamples).toBe(96);
      expect(peak(x)).toBe(ceiling);
      const [y] = render64(limiter, [x]); // rounding to 32 bits would hide a gain of 1 - 2^-28
      expect(firstDifference(y.subarray(96), x.subarray(0, 5000 - 96))).toBe(-1);
      expect(peak(y.subarray(0, 96))).toBe(0);
    }
  });

  it('is an exact copy again once it has released', () => {
    const x = noise(48_000, 4, 0.5);
    x[100] = 20;
    const limiter = new Limiter(mono, { releaseMs: 5, lookaheadMs: 1 });
    const [y] = render64(limiter, [x]);
    // A reduction of 1 is below 2^-29 after 5 ms ln(2^29) = 101 ms.
    expect(firstDifference(y.subarray(5100), x.subarray(5100 - 48, 48_000 - 48))).toBe(-1);
    expect(firstDifference(y.subarray(200), x.subarray(200 - 48, 48_000 - 48))).toBe(0);
  });

  it('reaches the ceiling at the peak, and has turned down nothing earlier than its look-ahead', () => {
    const x = constant(0.5, 2000);
    x[1000] = 4;
    const limiter = new Limiter(mono, { ceilingDb: -6, lookaheadMs: 1, releaseMs: 0 });
    const [y] = render64(limiter, [x]);
    const ceiling = ceilingOf(-6);
    expect(y[1048]).toBeLessThanOrEqual(ceiling);
    expect(y[1048]).toBeGreaterThan(ceiling * (1 - 1e-7));
    expect(y[999]).toBe(0.5); // the peak enters at 1000 and comes out at 1048
    expect(y[1000]).toBeLessThan(0.5);
    expect(y[1096]).toBeLessThan(0.5);
    expect(y[1097]).toBe(0.5); // without release the gain is back after as long again
  });

  it('releases with its time constant in linear gain', () => {
    const x = constant(0.1, 48_000);
    x[0] = 4;
    const limiter = new Limiter(mono, { ceilingDb: 0, lookaheadMs: 0.1, releaseMs: 100 });
    const [y] = render64(limiter, [x]);
    // L = 5: the minimum holds until sample 5; the boxes of 3 and 4 taps delay by 2.5 samples, of 4800.
    const gain = y[4800 + 5 + 2] / 0.1;
    expect(Math.abs((1 - gain) / 0.75 / Math.exp(-1) - 1)).toBeLessThan(0.5 / 4800 + 1e-5);
  });

  it('holds a lowered ceiling for all that enters after the set', () => {
    fc.assert(
      fc.property(fc.integer({ min: 1, max: 1e6 }), fc.double({ min: -40, max: 0, noNaN: true }), (seed, ceilingDb) => {
        const limiter = new Limiter(stereo, { ceilingDb: 0, lookaheadMs: 1 + (seed % 4), linkPercent: seed % 101 });
        const input = [adversary(600, seed), adversary(600, seed + 1)];
        render64(limiter, input);
        limiter.set({ ceilingDb });
        const rest = render64(limiter, [adversary(3000, seed + 2), adversary(3000, seed + 3)]);
        const held = rest.map((y) => peak(y.subarray(limiter.latencySamples)));
        const before = rest.map((y) => peak(y.subarray(0, limiter.latencySamples)));
        return Math.max(...held) <= ceilingOf(ceilingDb) && Math.max(...before) <= 1;
      }),
      { numRuns: 40 },
    );
  });

  it('glides up from a ceiling that was lowered a moment ago', () => {
    const limiter = new Limiter(mono, { ceilingDb: 0, releaseMs: 0, lookaheadMs: 1 });
    const x = constant(2, 2000);
    render64(limiter, [x]);
    limiter.set({ ceilingDb: -20 });
    render64(limiter, [x.subarray(0, 100)]); // in the middle of what would be the glide down
    limiter.set({ ceilingDb: -6 });
    const [y] = render64(limiter, [x]);
    expect(peak(y.subarray(0, 48 + 20)) / ceilingOf(-20)).toBeLessThan(1.02);
    expect(y[1999]).toBeCloseTo(ceilingOf(-6), 7);
  });

  it('glides up to a raised ceiling and never passes it', () => {
    const limiter = new Limiter(mono, { ceilingDb: -20, releaseMs: 0, lookaheadMs: 1 });
    const x = constant(2, 3000);
    render64(limiter, [x]);
    limiter.set({ ceilingDb: -6 });
    const [y] = render64(limiter, [x]);
    expect(peak(y)).toBeLessThanOrEqual(ceilingOf(-6));
    expect(y[48 + 480] / ((ceilingOf(-20) + ceilingOf(-6)) / 2)).toBeLessThan(1.01); // half of 20 ms: half of the way
    expect(y[2999]).toBeCloseTo(ceilingOf(-6), 7);
    const steps = y.subarray(1).map((v, i) => v - y[i]);
    expect(Math.min(...steps)).toBeGreaterThan(-1e-8);
    expect(Math.max(...steps)).toBeLessThan((Math.PI / 2 / 960) * 0.42); // the steepest step of a raised cosine
  });

  it('holds the ceiling while the link changes and a key comes and goes', () => {
    fc.assert(
      fc.property(fc.integer({ min: 1, max: 1e6 }), (seed) => {
        const limiter = new Limiter(stereo, { ceilingDb: -6, lookaheadMs: 2, releaseMs: 20, linkPercent: 0 });
        let loudest = 0;
        for (let part = 0; part < 6; part++) {
          const input = [adversary(700, seed + part), adversary(700, seed + 7 * part)];
          const key = [undefined, [adversary(700, seed + 9)], [adversary(700, seed), adversary(700, seed + 5)]][
            part % 3
          ];
          if (part % 2) limiter.set({ linkPercent: (100 * part * seed) % 101 });
          loudest = Math.max(loudest, ...render(limiter, input, key).map(peak));
        }
        return loudest <= ceilingOf(-6);
      }),
      { numRuns: 40 },
    );
  });

  it('limits linked channels as two limiters that both hear both', () => {
    const options = { ceilingDb: -12, lookaheadMs: 1, releaseMs: 5 };
    const input = [bursts(4000, 5), bursts(4000, 6)];
    const linked = render64(new Limiter(stereo, options), input);
    input.forEach((x, c) => {
      const [alone] = render64(new Limiter(mono, options), [x], input);
      expect(firstDifference(linked[c], alone)).toBe(-1);
    });
  });

  it.each([false, true])('lets unlinked channels alone, with a key or without, of true peaks: %s', (truePeak) => {
    const options = { ceilingDb: -12, lookaheadMs: 1, releaseMs: 5, linkPercent: 0, truePeak };
    const x = [noise(400, 5, 2), noise(400, 6, 0.02)];
    const silence = [constant(0, 400), constant(0, 400)];
    for (const key of [undefined, silence]) {
      const both = render64(new Limiter(stereo, options), x, key);
      expect(Math.max(...both.map(peak))).toBeLessThanOrEqual(ceilingOf(-12));
      x.forEach((own, c) => {
        expect(firstDifference(both[c], render64(new Limiter(mono, options), [own])[0])).toBe(-1);
      });
    }
  });

  it('holds the ceiling of each channel at the moment when linked channels part', () => {
    const limiter = new Limiter(slow, { ceilingDb: -6, lookaheadMs: 6, releaseMs: 5 });
    const x = constant(0.1, 200).fill(4, 180); // loud in the last piece before
    const before = render64(limiter, [x, x]);
    limiter.set({ linkPercent: 0 });
    const after = render64(limiter, [constant(4, 200), constant(4, 200)]);
    expect(Math.max(...[...before, ...after].map(peak))).toBeLessThanOrEqual(ceilingOf(-6));
  });

  it('lets channels go their own ways and brings them together again', () => {
    const options = { ceilingDb: -12, lookaheadMs: 1, releaseMs: 1 };
    const [x, z] = [noise(7000, 7, 2), noise(7000, 8, 0.2)];
    const alone = [x, z].map((own) => render64(new Limiter(mono, options), [own])[0]);
    const together = [x, z].map((own) => render64(new Limiter(mono, options), [own], [x, z])[0]);
    expect(firstDifference(alone[1].slice(3400), together[1].slice(3400))).toBeGreaterThanOrEqual(0);
    const limiter = new Limiter(stereo, options);
    const part = (from: number, to: number) => render64(limiter, [x.slice(from, to), z.slice(from, to)]);
    part(0, 1000);
    limiter.set({ linkPercent: 0 });
    const apart = part(1000, 4000);
    limiter.set({ linkPercent: 100 });
    const again = part(4000, 7000);
    // The link has moved after 960 samples; 1440 later, 30 time constants, what was before it is below a step of the gain.
    for (const c of [0, 1]) {
      expect(firstDifference(apart[c].slice(2400), alone[c].slice(3400, 4000))).toBe(-1);
      expect(firstDifference(again[c].slice(2400), together[c].slice(6400))).toBe(-1);
    }
  });

  it.each([false, true])('remembers a peak of either channel when they come together, true peaks: %s', (truePeak) => {
    for (let at = 140; at < 175; at++) {
      const limiter = new Limiter(slow, { ceilingDb: 0, lookaheadMs: 6, linkPercent: 0, truePeak });
      limiter.set({ linkPercent: 100 }); // done after 160 samples
      const [, right] = render64(limiter, [constant(0, 250), impulse(250, at, 2)]);
      expect(peak(right)).toBeLessThanOrEqual(1);
    }
  });

  it('links in dB: own + link (lowest - own)', () => {
    const x = [constant(10 ** (12 / 20), 2000), constant(10 ** (2 / 20), 2000)];
    const settled = (linkPercent: number) =>
      gainTrace(new Limiter(stereo, { ceilingDb: 0, linkPercent }), x).map((row) => row[1999]);
    for (const [linkPercent, second] of [
      [0, -2],
      [50, -7],
      [90, -11],
      [100, -12],
    ]) {
      expect(settled(linkPercent)[0]).toBeCloseTo(-12, 5);
      expect(settled(linkPercent)[1]).toBeCloseTo(second, 5);
    }
  });

  it('follows the key when that asks for less, and itself otherwise', () => {
    const limiter = () => new Limiter(mono, { ceilingDb: -6, lookaheadMs: 1 });
    const x = constant(0.25, 500);
    const loud = constant(4 * ceilingOf(-6), 500);
    expect(gainTrace(limiter(), [x], [loud])[0][499]).toBeCloseTo(-20 * Math.log10(4), 5);
    expect(peak(render(limiter(), [loud], [constant(0, 500)])[0])).toBeLessThanOrEqual(ceilingOf(-6));
    const two = [constant(0, 500), loud]; // the loudest of another number of channels
    expect(gainTrace(limiter(), [x], two)[0][499]).toBeCloseTo(-20 * Math.log10(4), 5);
  });

  it('holds the ceiling behind a key filter that turns the key down', () => {
    const limiter = new Limiter(stereo, { ceilingDb: -6 }, { keyFilter: new Gain(stereo, { gainDb: -40 }) });
    const y = render(limiter, [adversary(5000, 10), adversary(5000, 13)]);
    expect(Math.max(...y.map(peak))).toBeLessThanOrEqual(ceilingOf(-6));
  });

  it('traces level and gain of the sample that comes out', () => {
    const limiter = new Limiter(mono, { ceilingDb: 0, lookaheadMs: 1, releaseMs: 0 });
    const x = impulse(300, 100, 2);
    const levelDb = new Float64Array(300),
      gainDb = new Float64Array(300);
    const y = new Float64Array(300);
    limiter.process([x], [y], { trace: { levelDb: [levelDb], gainDb: [gainDb] } });
    expect(levelDb.indexOf(Math.max(...levelDb))).toBe(148);
    expect(levelDb[148]).toBeCloseTo(20 * Math.log10(2), 5);
    expect([levelDb[147], levelDb[149]]).toEqual([-200, -200]);
    expect(gainDb[148]).toBeCloseTo(-20 * Math.log10(2), 5);
    expect([gainDb[99], gainDb[197]]).toEqual([0, 0]);
    expect(Math.min(...gainDb)).toBe(gainDb[148]);
  });

  it('is at rest in silence with a gain of exactly 1, however it was before', () => {
    const limiter = new Limiter(stereo, { releaseMs: 10 });
    render64(limiter, [bursts(2000, 1).map((v) => 30 * v), noise(2000, 2, 1000)]);
    const rows = gainTrace(limiter, [constant(0, 48_000), constant(0, 48_000)]);
    expect(rows.map((row) => row[47_999])).toEqual([0, 0]);
  });

  describe('of true peaks', () => {
    /** True peak over the ceiling in dB, by ideal interpolation at 16 points to the sample, of some silence after x too. */
    function over(x: readonly Float64Array[], options: LimiterOptions, key?: readonly Float64Array[]): number {
      const limiter = new Limiter({ sampleRateHz: 48000, channels: x.length }, { ...options, truePeak: true });
      const y = render64(limiter, x, key);
      const highest = Math.max(...y.map((one) => idealPeak(one, 16)));
      return 20 * Math.log10(highest) - (options.ceilingDb ?? -1);
    }
    const hostile = (seed: number) => {
      const x = adversary(16_384, seed);
      x.fill(0, 15_000); // so that the sound is over before the end, latency and filter included
      return limitBand(Float64Array.from(x));
    };

    it('stays within 0.1 dB of the ceiling on 200 000 band-limited hostile samples, and comes close to it', () => {
      const next = numbers(5);
      let closest = -Infinity;
      for (let seed = 1; seed <= 12; seed++) {
        const options: LimiterOptions = {
          ceilingDb: -12 * next(),
          releaseMs: 200 * next() ** 2,
          lookaheadMs: 0.5 + 5 * next() ** 2,
          linkPercent: [100, 0, 60][seed % 3],
        };
        const most = over([hostile(seed)], options);
        expect(most, `${seed}`).toBeLessThanOrEqual(0.1);
        closest = Math.max(closest, most);
      }
      expect(over([hostile(3), hostile(9)], { linkPercent: 30 })).toBeLessThanOrEqual(0.1);
      expect(closest).toBeGreaterThan(-0.01);
      const sampled = render64(new Limiter(mono), [hostile(5)]);
      expect(20 * Math.log10(idealPeak(sampled[0], 16)) + 1).toBeGreaterThan(0.5); // what it is good for
    });

    it('bounds the input also while a key decides, and follows the key', () => {
      const quiet = constant(0, 16_384);
      expect(over([hostile(5)], {}, [quiet])).toBeLessThanOrEqual(0.1);
      expect(over([hostile(4), hostile(5)], { linkPercent: 0 }, [quiet, quiet])).toBeLessThanOrEqual(0.1);
      const limiter = new Limiter(mono, { ceilingDb: -6, lookaheadMs: 1, truePeak: true });
      const gain = gainTrace(limiter, [constant(0.01, 500)], [constant(4 * ceilingOf(-6), 500)])[0];
      expect(gain[499]).toBeCloseTo(-20 * Math.log10(4), 5);
    });

    it('adds 12 samples of latency, and copies exactly what nowhere rises above the ceiling', () => {
      const limiter = new Limiter(mono, { lookaheadMs: 1, truePeak: true });
      expect(limiter.latencySamples).toBe(48 + 12);
      const x = toFloat32(noise(4000, 3, 0.3)); // the waveform of such noise stays below 2.3 times its samples
      const [y] = render64(limiter, [x]);
      expect(firstDifference(y.subarray(60), x.subarray(0, 3940))).toBe(-1);
    });

    it('forgets at a reset what was just about to come out', () => {
      const options = { ceilingDb: -6, lookaheadMs: 1, releaseMs: 10, truePeak: true };
      const used = new Limiter(mono, options);
      render64(used, [noise(1000, 1, 30)]); // loud to its last sample
      used.reset();
      const x = [noise(1000, 2, 0.9)];
      expect(firstDifference(render64(used, x)[0], render64(new Limiter(mono, options), x)[0])).toBe(-1);
    });

    it('remembers in its state what is about to come out', () => {
      const [one, other] = [0, 0].map(() => new Limiter(mono, { lookaheadMs: 0.5, releaseMs: 1, truePeak: true }));
      render64(one, [noise(200, 3, 4)]);
      restoreState(other, saveState(one));
      const x = [noise(200, 4, 4)];
      expect(firstDifference(render64(other, x)[0], render64(one, x)[0])).toBe(-1);
    });

    it('traces the level of the over, at the sample beside it', () => {
      // A quarter of the rate at 45 degrees: samples of 1, and between two of one sign a peak of sqrt 2.
      const x = Float64Array.from({ length: 2000 }, (_, n) => (n % 4 < 2 ? 1 : -1));
      const levelDb = new Float64Array(2000);
      const limiter = new Limiter(mono, { ceilingDb: 0, lookaheadMs: 1, truePeak: true });
      limiter.process([x], [new Float64Array(2000)], { trace: { levelDb: [levelDb] } });
      for (let n = 500; n < 1500; n++) expect(Math.abs(levelDb[n] - 3.0103)).toBeLessThan(0.01);
    });
  });

  it('refuses a ceiling above full scale', () => {
    expect(() => new Limiter(mono, { ceilingDb: 0.1 })).toThrow(
      new RangeError('Limiter: ceilingDb must be -60 to 0, got 0.1'),
    );
    expect(() => new Limiter(mono).set({ lookaheadMs: 1 })).toThrow('Limiter: lookaheadMs is fixed at construction');
  });
});
