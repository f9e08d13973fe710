/** Saturation: alias, harmonics, hysteresis and loudness, over more cases and samples than a test run has time for. */
import { expect, it } from 'vitest';
import { matchLoudness } from '../../src/blocks/match-loudness.ts';
import { measureLoudness } from '../../src/meters/loudness.ts';
import { measureHarmonics } from '../../src/saturation/distortion.ts';
import { HardClipper } from '../../src/saturation/hard-clipper.ts';
import { Hysteresis } from '../../src/saturation/hysteresis.ts';
import { magnetise, type Material } from '../../src/saturation/magnetisation.ts';
import { Saturator, saturatorParameters } from '../../src/saturation/saturator.ts';
import { SoftClipper } from '../../src/saturation/soft-clipper.ts';
import { simulateKit } from '../../src/simulation/simulate-kit.ts';
import { fourierHarmonics, harmonicError, plainCurves } from '../saturation/reference-curves.ts';
import { type ProofTable, writeProofPage } from '../support/proof-page.ts';
import { noise, sine } from '../support/signals.ts';
import { POINTS, worstAlias } from '../support/spectrum.ts';

const RATE = 48000;
const mono = { sampleRateHz: RATE, channels: 1 };
const decibels = (ratio: number) => 20 * Math.log10(ratio);
const material: Material = { pinning: 1.2, reversible: 0.17, coupling: 0.025 };
const materials: readonly Material[] = [
  material,
  { pinning: 0.2, reversible: 0, coupling: 0.089 },
  { pinning: 5, reversible: 0.9, coupling: 0.2 },
];
const named = ({ pinning, reversible, coupling }: Material) => `k = ${pinning}, c = ${reversible}, alpha = ${coupling}`;

function alias(): ProofTable {
  const rows = (
    [
      [997, 8, 'none', -90],
      [4987, 4, 'none', -54],
      [4987, 4, 'firstAntiderivative', -76],
      [4987, 4, 'secondAntiderivative', -80],
      [4987, 4, 'cornerCorrection', -80],
    ] as const
  ).map(([hz, oversampling, antialiasing, most]) => {
    const y = new Float64Array(POINTS + 400);
    new HardClipper(mono, { driveDb: 12, oversampling, antialiasing }).process([sine(y.length, hz, RATE)], [y]);
    const found = worstAlias(y.subarray(400), hz, RATE);
    expect(found).toBeLessThanOrEqual(most);
    return [hz, `${oversampling}x`, antialiasing, most, found.toFixed(1)];
  });
  return {
    title: 'Alias, hard curve, +12 dB',
    header: ['Hz', 'oversampling', 'antialiasing', 'at most, dBc', 'measured'],
    rows,
  };
}

function harmonics(): ProofTable {
  const hard = (u: number) => Math.max(-1, Math.min(1, u));
  const rows: (string | number)[][] = [];
  for (const driveDb of [0, 6, 12, 18]) {
    const g = 10 ** (driveDb / 20);
    const check = (name: string, found: Float64Array, s: (x: number) => number) => {
      const worst = harmonicError(found, fourierHarmonics(s, 15));
      expect(worst).toBeLessThan(1);
      rows.push([name, driveDb, (0.01 * worst).toFixed(4)]);
    };
    check('hard clipper', measureHarmonics(new HardClipper(mono, { driveDb })), (x) => hard(g * x));
    for (const curve of ['cubic', 'tanh'] as const) {
      const processor = new SoftClipper(mono, { driveDb, curve });
      check(`soft clipper, ${curve}`, measureHarmonics(processor), (x) => plainCurves[curve](g * x));
    }
    for (const curve of saturatorParameters.curve.choices) {
      for (const biasPercent of [0, 40]) {
        const f = plainCurves[curve],
          b = biasPercent / 100;
        const slope = (f(b + 1e-6) - f(b - 1e-6)) / 2e-6;
        const processor = new Saturator(mono, { driveDb, curve, biasPercent, levelMatch: false });
        check(
          `saturator, ${curve}, bias ${biasPercent} %`,
          measureHarmonics(processor),
          (x) => (f(b + g * x) - f(b)) / slope / g,
        );
      }
    }
  }
  return {
    title: 'Harmonics of 997 Hz to the 15th, against the Fourier integral',
    header: ['curve', 'drive, dB', 'error as share of what is allowed, times 0.01 dB'],
    rows,
  };
}

function loops(): ProofTable {
  const cycle = 1000,
    cycles = 200; // a strong friction lets small fields find their loop slowly
  const rows = materials.flatMap((m) =>
    [0.3, 1, 3, 10, 30].map((amplitude) => {
      const field = Float64Array.from(
        { length: cycles * cycle + 1 },
        (_, i) => amplitude * Math.sin((2 * Math.PI * i) / cycle),
      );
      const y = magnetise(field, m);
      const gap = Math.abs(y[cycles * cycle] - y[(cycles - 1) * cycle]);
      let loss = 0;
      for (let i = (cycles - 1) * cycle; i < cycles * cycle; i++)
        loss += ((field[i] + field[i + 1]) / 2) * (y[i + 1] - y[i]);
      expect(gap).toBeLessThan(1e-6);
      expect(loss).toBeGreaterThan(0);
      return [named(m), amplitude, gap.toExponential(1), loss.toPrecision(4)];
    }),
  );
  return {
    title: 'Hysteresis: loops close and lose energy',
    header: ['material', 'field, units of a', 'gap after 200 cycles', 'loss per cycle, units of a Ms'],
    rows,
  };
}

function order(): ProofTable {
  /** M after a way of the field, solved in so many steps; one step between samples. */
  const end = (turns: readonly number[], steps: number): number => {
    const field = turns.flatMap((to, i) => {
      const from = turns[i - 1] ?? 0;
      return Array.from({ length: steps }, (_, n) => from + ((to - from) * (n + 1)) / steps);
    });
    return magnetise(Float64Array.from(field), material, 0.01)[field.length - 1];
  };
  const rows = (
    [
      ['first branch, to 4', [4], 3.5],
      ['there and back, to 4 and -4, where M meets L', [4, -4], 3.5],
    ] as const
  ).flatMap(([name, turns, least]) => {
    const exact = end(turns, 1 << 14);
    const errors = [4, 8, 16, 32].map((steps) => Math.abs(end(turns, steps) - exact));
    const first = Math.log2(errors[0] / errors[3]) / 3;
    expect(first).toBeGreaterThan(least);
    return errors.map((error, i) => [
      name,
      4 << i,
      error.toExponential(2),
      i === 0 ? '' : Math.log2(errors[i - 1] / error).toFixed(2),
    ]);
  });
  return {
    title: 'Hysteresis: order of the solver by halving the step',
    header: ['way of the field', 'steps per branch', 'error of M', 'order'],
    rows,
  };
}

function random(): ProofTable {
  const block = 10_000,
    blocks = 250;
  const rows = ([-24, 12, 48] as const).flatMap((driveDb, d) =>
    (d === 1 ? materials.slice(0, 2) : materials.slice(d, d + 1)).map((m) => {
      const hysteresis = new Hysteresis(mono, {
        driveDb,
        pinning: m.pinning,
        reversiblePercent: 100 * m.reversible,
        coupling: m.coupling,
        oversampling: 2,
      });
      const y = new Float64Array(block);
      let largest = 0,
        infinite = 0;
      for (let b = 0; b < blocks; b++) {
        hysteresis.process([noise(block, 1 + b)], [y]);
        for (const v of y) {
          if (!Number.isFinite(v)) infinite++;
          largest = Math.max(largest, Math.abs(v));
        }
      }
      expect(infinite).toBe(0);
      return [named(m), driveDb, block * blocks, infinite, largest.toFixed(3)];
    }),
  );
  expect(rows.reduce((sum, row) => sum + Number(row[2]), 0)).toBe(10_000_000);
  return {
    title: 'Hysteresis: random input of full scale',
    header: ['material', 'drive, dB', 'samples', 'not finite', 'largest'],
    rows,
  };
}

function loudness(): ProofTable {
  const kit = simulateKit({ bars: 4 });
  const format = { sampleRateHz: kit.sampleRateHz, channels: 1 };
  const drives = [0, 6, 12, 18, 24];
  const rows = Object.entries(kit.microphones).map(([name, microphone]) => {
    const x = [Float64Array.from(microphone)];
    const hitLevelDb = Math.round(decibels(x[0].reduce((most, v) => Math.max(most, Math.abs(v)), 0)));
    const make = (driveDb: number) => new Saturator(format, { driveDb, hitLevelDb, oversampling: 2 });
    const gains = drives.map((driveDb) => matchLoudness(make(driveDb), x));
    // The drive goes up and down through all five, with the gains that the first pass measured.
    const stops = [0, 1, 2, 3, 4, 3, 2, 1];
    const saturator = make(drives[0]);
    const y = new Float64Array(x[0].length);
    const length = Math.ceil(y.length / stops.length);
    stops.forEach((stop, i) => {
      saturator.set({ driveDb: drives[stop], outputGainDb: gains[stop] });
      if (i === 0) saturator.reset();
      const [from, to] = [i * length, Math.min(y.length, (i + 1) * length)];
      saturator.process([x[0].subarray(from, to)], [y.subarray(from, to)]);
    });
    const moved = measureLoudness([y], format.sampleRateHz) - measureLoudness(x, format.sampleRateHz);
    expect(Math.abs(moved)).toBeLessThan(0.5);
    const live = gains.map((gain) => -gain);
    expect(Math.max(...live.map(Math.abs))).toBeLessThan(2);
    return [name, hitLevelDb, ...live.map((db) => db.toFixed(2)), moved.toFixed(2)];
  });
  return {
    title: 'Saturator: loudness of a simulated kit, change in LU',
    header: [
      'microphone',
      'hit level, dBFS',
      ...drives.map((d) => `live match, ${d} dB`),
      'drive moving, gains of a first pass',
    ],
    rows,
  };
}

function rates(): ProofTable {
  const rows: (string | number)[][] = [];
  const ways = {
    'hard clipper': (f: typeof mono) => new HardClipper(f, { driveDb: 12 }),
    'hard clipper, cornerCorrection, 4x': (f: typeof mono) =>
      new HardClipper(f, { driveDb: 12, oversampling: 4, antialiasing: 'cornerCorrection' }),
    'soft clipper': (f: typeof mono) => new SoftClipper(f, { driveDb: 12 }),
    'saturator, uneven': (f: typeof mono) => new Saturator(f, { curve: 'uneven' }),
    'saturator, uneven, tilt 6 dB': (f: typeof mono) => new Saturator(f, { curve: 'uneven', tiltDb: 6 }),
    hysteresis: (f: typeof mono) => new Hysteresis(f),
  };
  for (const [name, make] of Object.entries(ways)) {
    const spectrum = (sampleRateHz: number) =>
      measureHarmonics(make({ sampleRateHz, channels: 1 }), { frequencyHz: 600 });
    const reference = spectrum(192_000);
    const worst = [22_050, 44_100, 48_000, 96_000].map((rate) => {
      const found = spectrum(rate);
      let most = 0;
      // 9 kHz is where the oversampler's pass band ends at 22.05 kHz; lines below -80 dB of the fundamental are left out.
      for (let n = 1; n <= (rate === 22_050 ? 15 : 16) && n * 600 <= 10_000; n++) {
        if (reference[n] > 1e-4 * reference[1]) most = Math.max(most, Math.abs(decibels(found[n] / reference[n])));
      }
      expect(most).toBeLessThan(rate === 22_050 && name.includes('tilt') ? 0.2 : 0.1);
      return most.toFixed(3);
    });
    rows.push([name, ...worst]);
  }
  return {
    title: 'Sample rates: largest difference of a harmonic of 600 Hz from 192 kHz, to 10 kHz, in dB',
    header: ['block', '22.05 kHz', '44.1 kHz', '48 kHz', '96 kHz'],
    rows,
  };
}

it('saturation', () => {
  writeProofPage(
    'saturation',
    'Saturation: alias, harmonics, hysteresis, loudness',
    'Alias is counted as in [aliasing](../aliasing.md). A harmonic may be off by 0.01 dB, or by -120 dB of the fundamental. ' +
      'The order of the solver is that of its method, 4, beyond a turn too: where the magnetisation meets the ' +
      'anhysteretic curve the right-hand side of the equation has a kink, which does not show at these steps. ' +
      'The harmonics of a tilted signal differ at 22.05 kHz because the bilinear transform bends the tilt near half the rate.',
    [alias(), harmonics(), loops(), order(), random(), loudness(), rates()],
  );
});
