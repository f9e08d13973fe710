import { describe, expect, it } from 'vitest';
import { combGain } from '../../src/reverb/absorption.ts';
import { FeedbackNetwork } from '../../src/reverb/feedback-network.ts';
import { mixByHadamard } from '../../src/reverb/hadamard.ts';
import { LineRotation } from '../../src/reverb/line-rotation.ts';
import { networkDelays } from '../../src/reverb/network-delays.ts';
import { OctaveAbsorption } from '../../src/reverb/octave-absorption.ts';
import { shoeboxReflections } from '../../src/reverb/shoebox.ts';
import { firstDifference, impulse, largestDifference, noise, peak } from '../support/signals.ts';

const RATE = 48000;
const CENTRES = [125, 250, 500, 1000, 2000, 4000, 8000];
const room = { lengthMetres: 6, widthMetres: 4.5, heightMetres: 3 };

/** Columns of the matrix that a mixer is, found by unit vectors. */
function matrixOf(lines: number, mix: (x: Float64Array[]) => void): number[][] {
  return Array.from({ length: lines }, (_, column) => {
    const x = Array.from({ length: lines }, (_, l) => Float64Array.of(l === column ? 1 : 0));
    mix(x);
    return x.map(([v]) => v);
  });
}

/** Largest departure of A^T A from the unit matrix. */
function departure(columns: readonly number[][]): number {
  let worst = 0;
  columns.forEach((a, i) =>
    columns.forEach((b, j) => {
      const product = a.reduce((sum, v, n) => sum + v * b[n], 0);
      worst = Math.max(worst, Math.abs(product - (i === j ? 1 : 0)));
    }),
  );
  return worst;
}

it('a network names all that it remembers: another with the same numbers goes on with the same bits', () => {
  const settings = { decaysSeconds: [1, 1, 1, 1, 1, 1, 1], modulationDepth: 0.1, modulationHz: 1 };
  const networks = [0, 1].map(() => new FeedbackNetwork([5, 3, 11, 7, 2, 13, 23, 19], 1, RATE));
  const play = (network: FeedbackNetwork, seed: number) => {
    const k = Float64Array.from(network.design(settings)),
      y = new Float64Array(128);
    network.onGrid(k, 0);
    network.process([noise(128, seed)], [y], 128, k, 0);
    return y;
  };
  play(networks[0], 1);
  expect(networks[0].state.length).toBeGreaterThan(16);
  networks[0].state.forEach((array, a) => networks[1].state[a].set(array));
  expect(firstDifference(play(networks[1], 2), play(networks[0], 2))).toBe(-1);
});

describe('the matrix of a network', () => {
  it.each([8, 16])('is lossless to 1e-12 with %d lines, and lets every line hear all alike', (lines) => {
    const columns = matrixOf(lines, (x) => {
      mixByHadamard(x, 1);
    });
    expect(departure(columns)).toBeLessThan(1e-12);
    const faults = columns.flat().map((v) => Math.abs(Math.abs(v) - 1 / Math.sqrt(lines)));
    expect(Math.max(...faults)).toBeLessThan(1e-15);
  });

  it('turns its lines without loss at every instant, at any depth', () => {
    const rotation = new LineRotation(16, RATE);
    const angles = new Set<number>();
    for (let block = 0; block < 50; block++) {
      const k = Float64Array.of(1, 9);
      rotation.beginBlock(k, 0);
      for (let i = 0; i < 128; i++) {
        const saved = rotation.state.map((array) => array.slice());
        const columns = matrixOf(16, (x) => {
          saved.forEach((array, a) => rotation.state[a].set(array));
          rotation.process(x, 1, k, 0);
        });
        if (i % 16 === 0) {
          expect(departure(columns)).toBeLessThan(1e-14);
          angles.add(columns[0][0]);
        }
      }
    }
    expect(angles.size).toBeGreaterThan(300);
    expect(Math.min(...angles)).toBeLessThan(0.05); // near the quarter turn
  });

  it('turns smoothly: from sample to sample by no more than the steepest sine, across blocks too', () => {
    const rotation = new LineRotation(8, RATE);
    const k = Float64Array.of(1, 10);
    let last: number | undefined;
    let largest = 0;
    for (let block = 0; block < 200; block++) {
      rotation.beginBlock(k, 0);
      const x = Array.from({ length: 8 }, (_, l) => new Float64Array(128).fill(l === 0 ? 1 : 0));
      rotation.process(x, 128, k, 0);
      for (const v of x[1]) {
        if (last !== undefined) largest = Math.max(largest, Math.abs(v - last));
        last = v;
      }
    }
    // s = 2t / (1 + t^2) has slope 2 at most; t runs at 2 pi rate / sampleRate, the pair 3/4 to 4/3 as fast.
    expect(largest).toBeLessThan((2 * 2 * Math.PI * 10 * (4 / 3)) / RATE);
    expect(largest).toBeGreaterThan(0);
  });
});

describe('FeedbackNetwork', () => {
  it('with infinite decays keeps its energy', () => {
    const network = new FeedbackNetwork(networkDelays(16, room, 8000), 2, 8000);
    const k = Float64Array.from(
      network.design({ decaysSeconds: CENTRES.map(() => Infinity), modulationDepth: 0.3, modulationHz: 1 }),
    );
    const x = [impulse(128), impulse(128)],
      y = [new Float64Array(128), new Float64Array(128)];
    network.onGrid(k, 0);
    network.process(x, y, 128, k, 0);
    const before = network.energy;
    expect(before).toBeCloseTo(2, 12); // two impulses of energy 1
    for (const signal of x) signal.fill(0);
    for (let block = 0; block < 3000; block++) {
      network.onGrid(k, 0);
      network.process(x, y, 128, k, 0);
    }
    expect(Math.abs(10 * Math.log10(network.energy / before))).toBeLessThan(1e-9);
  });

  /** The network as its picture and equations say, sample by sample, with whole matrices: outputs of every channel. */
  function byDefinition(
    delays: readonly number[],
    x: readonly Float64Array[],
    k: Float64Array,
    first: number,
    sampleRateHz: number,
  ): Float64Array[] {
    const lines = delays.length,
      channels = x.length;
    const [level, depth, rateHz] = k.subarray(first);
    const ones = (bits: number) => [...bits.toString(2)].filter((bit) => bit === '1').length;
    const sign = (bits: number) => (ones(bits) % 2 === 0 ? 1 : -1);
    const fedBy = delays.map((_, l) => Math.floor((l * channels) / lines));
    const fed = fedBy.map((c) => fedBy.filter((other) => other === c).length); // lines that share a channel
    const past = delays.map(() => [] as number[]); // what went into the lines
    const filtered = delays.map(() => Array.from({ length: 7 }, () => [] as number[])); // between the sections
    const rotation = new LineRotation(lines, sampleRateHz);
    const y = x.map((signal) => new Float64Array(signal.length));
    for (let n = 0; n < x[0].length; n++) {
      const out = delays.map((delay, l) => {
        const [gain, ...sections] = k.subarray(first + 3 + 25 * l, first + 28 + 25 * l);
        const between = filtered[l];
        between[0][n] = n < delay ? 0 : gain * past[l][n - delay];
        for (let s = 0; s < 6; s++) {
          const [b1, b2, a1, a2] = sections.slice(4 * s);
          const [a, b] = [between[s], between[s + 1]];
          b[n] = a[n];
          if (n > 0) b[n] += b1 * a[n - 1] - a1 * b[n - 1];
          if (n > 1) b[n] += b2 * a[n - 2] - a2 * b[n - 2];
        }
        return between[6][n];
      });
      const mixed = out.map((_, row) =>
        Float64Array.of(out.reduce((sum, v, column) => sum + sign(row & column) * v, 0) / Math.sqrt(lines)),
      );
      for (let c = 0; c < channels; c++) y[c][n] = level * mixed[c][0];
      if (n % 128 === 0) rotation.beginBlock(Float64Array.of(depth, rateHz), 0);
      rotation.process(mixed, 1, Float64Array.of(depth), 0);
      mixed.forEach(([v], l) => past[l].push(v + (sign(l) / Math.sqrt(fed[l])) * x[fedBy[l]][n]));
    }
    return y;
  }

  /** The network's own outputs, in pieces that end where blocks of 128 do, or within them. */
  function played(network: FeedbackNetwork, x: readonly Float64Array[], k: Float64Array, first: number) {
    const y = x.map((signal) => new Float64Array(signal.length));
    for (let at = 0, count = 0; at < x[0].length; at += count) {
      if (at % 128 === 0) network.onGrid(k, first);
      count = Math.min(128 - (at % 128), 1 + ((7 * at) % 100), x[0].length - at);
      const piece = (signal: Float64Array) => signal.subarray(at, at + count);
      network.process(x.map(piece), y.map(piece), count, k, first);
    }
    return y;
  }

  it.each([
    { delays: [5, 3, 11, 7, 150, 13, 23, 19], channels: 3 },
    { delays: [61, 5, 199, 130, 128, 131, 17, 127, 19, 20, 23, 101, 43, 67, 89, 83], channels: 2 },
  ])('is what its equations say for $channels channels and lines of $delays', ({ delays, channels }) => {
    const settings = { decaysSeconds: [0.4, 0.3, 0.3, 0.25, 0.2, 0.2, 0.15], modulationDepth: 0.8, modulationHz: 9 };
    const network = new FeedbackNetwork(delays, channels, RATE);
    const design = network.design(settings);
    expect(network.constants).toBe(design.length);
    const k = Float64Array.of(9, 9, 9, 9, ...design); // the constants begin at 4
    const x = Array.from({ length: channels }, (_, c) => noise(400, c + 1));
    const y = played(network, x, k, 4),
      expected = byDefinition(delays, x, k, 4, RATE);
    expect(Math.max(...y.map((v, c) => largestDifference(v, expected[c]) / peak(expected[c])))).toBeLessThan(1e-12);

    network.reset();
    expect(Math.max(...played(network, x, k, 4).map((v, c) => firstDifference(v, y[c])))).toBe(-1);
  });

  it.each([1, 3])('gives an impulse back with the energy it had, shared by its %d outputs', (channels) => {
    const network = new FeedbackNetwork([211, 151, 173, 199, 163, 229, 181, 191], channels, RATE);
    const alike = { decaysSeconds: CENTRES.map(() => 0.2), modulationDepth: 0, modulationHz: 1 };
    const k = Float64Array.from(network.design(alike));
    let sum = 0;
    for (let from = 0; from < channels; from++) {
      network.reset();
      const x = Array.from({ length: channels }, (_, c) => (c === from ? impulse(6000) : new Float64Array(6000)));
      for (const y of played(network, x, k, 0)) sum += y.reduce((own, v) => own + v * v, 0) / channels;
    }
    expect(Math.abs(10 * Math.log10(sum))).toBeLessThan(0.7); // lines of different lengths pass it on unevenly
  });

  it('has no level of its own when it never decays: what is in its lines comes out', () => {
    const network = new FeedbackNetwork([5, 3, 11, 7, 2, 13, 23, 19], 2, RATE);
    const never = { decaysSeconds: CENTRES.map(() => Infinity), modulationDepth: 0, modulationHz: 1 };
    expect(network.design(never)[0]).toBe(1);
  });

  it('refuses other numbers of lines, delays that are not whole, and more channels than lines', () => {
    expect(() => new FeedbackNetwork([5, 7, 11], 1, RATE)).toThrow('FeedbackNetwork: lines must be 8 or 16, got 3');
    expect(() => new FeedbackNetwork([1, 2, 3, 4, 5, 6, 7, 8.5], 1, RATE)).toThrow(
      'FeedbackNetwork: delaysSamples must be a whole number',
    );
    expect(() => new FeedbackNetwork([2, 3, 5, 7, 11, 13, 17, 19], 9, RATE)).toThrow('channels must be 1 to 8, got 9');
  });

  it('has delays that are distinct primes about the round trip of the room, alike at every rate', () => {
    for (const rate of [8000, 22050, 48000, 192000]) {
      const delays = networkDelays(16, room, rate);
      expect(new Set(delays).size).toBe(16);
      const mean = delays.reduce((sum, d) => sum + d, 0) / 16 / rate;
      const roundTrip = (2 * Math.cbrt(6 * 4.5 * 3)) / 343.2;
      expect(Math.abs(mean / roundTrip - 1.035)).toBeLessThan(rate < 20000 ? 0.03 : 0.005); // mean of a geometric row
    }
  });

  it('has delays in a geometric row from shortest to longest 2.4, every fifth of them after the other', () => {
    const roundTrip = (2 * Math.cbrt(6 * 4.5 * 3)) / 343.2;
    for (const lines of [8, 16]) {
      networkDelays(lines, room, 192_000).forEach((delay, i) => {
        const due = roundTrip * 2.4 ** ((((5 * i) % lines) + 0.5) / lines - 0.5);
        expect(Math.abs(delay / 192_000 / due - 1)).toBeLessThan(0.005); // the next prime
      });
    }
  });
});

describe('OctaveAbsorption', () => {
  /** Level of a line's filter by the z-transform. */
  const levelDb = ([gain, ...sections]: readonly number[], hz: number, rate: number): number => {
    const w = (2 * Math.PI * hz) / rate;
    const square = (a: number, b: number) =>
      (1 + a * Math.cos(w) + b * Math.cos(2 * w)) ** 2 + (a * Math.sin(w) + b * Math.sin(2 * w)) ** 2;
    let db = 20 * Math.log10(gain);
    for (let s = 0; s < 6; s++) {
      const [b1, b2, a1, a2] = sections.slice(4 * s);
      db += 10 * Math.log10(square(b1, b2) / square(a1, a2));
    }
    return db;
  };
  const courses = [
    [1.2, 1.1, 1, 1, 0.9, 0.75, 0.6],
    [4, 3.2, 2.6, 2.1, 1.7, 1.4, 1.1],
    [0.5, 0.4, 0.5, 0.4, 0.5, 0.4, 0.5],
    [0.3, 0.3, 0.35, 0.4, 0.5, 0.6, 0.75],
  ];

  it.each([22050, 44100, 48000, 96000, 192000])(
    'loses 60 tau / T dB at every centre within 0.1 dB at %d Hz',
    (rate) => {
      const absorption = new OctaveAbsorption(rate);
      for (const course of courses) {
        for (const tau of [0.008, 0.02, 0.035]) {
          const k = absorption.design(tau, course);
          const faults = CENTRES.map((hz, b) => Math.abs(levelDb(k, hz, rate) + (60 * tau) / course[b]));
          expect(Math.max(...faults)).toBeLessThan(0.1);
        }
      }
    },
  );

  it.each([8000, 8000 / 0.45])('at %d Hz, too, for the bands whose centre lies up to 0.45 of the rate', (rate) => {
    const course = courses[0];
    const k = new OctaveAbsorption(rate).design(0.02, course);
    CENTRES.filter((hz) => hz <= 0.45 * rate).forEach((hz, b) => {
      expect(Math.abs(levelDb(k, hz, rate) + (60 * 0.02) / course[b])).toBeLessThan(0.1);
    });
    expect(k).toHaveLength(25); // sections that are not needed are there, and pass all
    expect(k.every(Number.isFinite)).toBe(true);
  });

  it('has a loop gain of 10^(-3 tau / T) within 5 % where neighbours differ by a factor of 2', () => {
    const absorption = new OctaveAbsorption(RATE);
    for (const course of [
      [2, 1, 2, 1, 2, 1, 2],
      [1, 1, 1, 1, 0.5, 1, 1],
      [0.6, 0.6, 0.6, 0.6, 0.6, 0.6, 1.2],
    ]) {
      for (const tau of [0.01, 0.03]) {
        const k = absorption.design(tau, course);
        const faults = CENTRES.map((hz, b) =>
          Math.abs(10 ** (levelDb(k, hz, RATE) / 20) / combGain(tau, course[b]) - 1),
        );
        expect(Math.max(...faults)).toBeLessThan(0.05);
      }
    }
  });

  it('decays at every frequency while neighbours differ by a factor of 2 at most', () => {
    const absorption = new OctaveAbsorption(RATE);
    for (let pattern = 0; pattern < 64; pattern++) {
      const course = [1];
      for (let b = 1; b < 7; b++) course.push(course[b - 1] * ((pattern >> (b - 1)) & 1 ? 2 : 0.5));
      const longest = Math.max(...course);
      expect(absorption.longestDecaySeconds(course)).toBeLessThan(2 * longest);
      expect(absorption.longestDecaySeconds(course)).toBeGreaterThanOrEqual(0.97 * longest);
      const k = absorption.design(0.02, course);
      for (let hz = 10; hz < 24000; hz *= 1.2) expect(levelDb(k, hz, RATE)).toBeLessThan((-60 * 0.02) / (2 * longest));
    }
  });

  it.each(courses)('knows its longest decay at any frequency: %d s at 125 Hz', (...course) => {
    const absorption = new OctaveAbsorption(RATE);
    const tau = 0.001; // small gains, where shelves are proportional
    const k = absorption.design(tau, course);
    let longest = 0;
    for (let hz = 20; hz < 20_000; hz *= 1.03) longest = Math.max(longest, (-60 * tau) / levelDb(k, hz, RATE));
    expect(absorption.longestDecaySeconds(course) / longest).toBeCloseTo(1, 2);
  });

  it('is nothing but a gain when all bands decay alike, and nothing at all when they do not decay', () => {
    const absorption = new OctaveAbsorption(RATE);
    const [gain, ...sections] = absorption.design(
      0.03,
      CENTRES.map(() => 2),
    );
    expect(gain).toBeCloseTo(combGain(0.03, 2), 12);
    for (let s = 0; s < 6; s++) {
      const [b1, b2, a1, a2] = sections.slice(4 * s);
      expect(Math.max(Math.abs(b1 - a1), Math.abs(b2 - a2))).toBeLessThan(1e-13);
    }
    expect(
      absorption.design(
        0.03,
        CENTRES.map(() => Infinity),
      )[0],
    ).toBe(1);
  });
});

describe('shoeboxReflections', () => {
  it('are the ways by one wall: mirrored sources at the distances of plane geometry', () => {
    const source = [0.25, 0.5, 0.4] as const,
      microphone = [0.75, 0.25, 0.6] as const;
    const ways = shoeboxReflections(room, source, microphone, 1);
    expect(ways).toHaveLength(6);
    const size = [6, 4.5, 3];
    const s = source.map((v, a) => v * size[a]),
      m = microphone.map((v, a) => v * size[a]);
    const direct = Math.hypot(...s.map((v, a) => v - m[a]));
    const expected = [0, 1, 2].flatMap((axis) =>
      [0, size[axis]].map((wall) => Math.hypot(...s.map((v, a) => (a === axis ? 2 * wall - v : v) - m[a]))),
    );
    const sorted = (values: readonly number[]) => Float64Array.from(values).sort();
    expect(
      largestDifference(sorted(ways.map(({ seconds }) => seconds)), sorted(expected.map((d) => (d - direct) / 343.2))),
    ).toBeLessThan(1e-15);
    expect(
      largestDifference(sorted(ways.map(({ spread }) => spread)), sorted(expected.map((d) => direct / d))),
    ).toBeLessThan(1e-15);
  });

  it('are 6, 18 and 38 more of first, second and third order', () => {
    const count = (order: number) => shoeboxReflections(room, [0.3, 0.4, 0.5], [0.6, 0.5, 0.4], order).length;
    expect([count(1), count(2), count(3)]).toEqual([6, 24, 62]);
    const walls = shoeboxReflections(room, [0.3, 0.4, 0.5], [0.6, 0.5, 0.4], 2).map((way) => way.walls);
    expect(walls.filter((n) => n === 2)).toHaveLength(18);
  });
});
