/** What the meters and the limiter of true peaks hold, measured; writes `docs/proofs/meters.md`. */
import { cpuUsage, memoryUsage } from 'node:process';
import { setFlagsFromString } from 'node:v8';
import { runInNewContext } from 'node:vm';
import { afterAll, describe, expect, it } from 'vitest';
import { Limiter, type LimiterOptions } from '../../src/dynamics/limiter.ts';
import { LoudnessMeter } from '../../src/meters/loudness.ts';
import { measureTruePeak, TruePeakMeter } from '../../src/meters/true-peak.ts';
import { microphoneNames } from '../../src/simulation/names.ts';
import { simulateKit } from '../../src/simulation/simulate-kit.ts';
import { adversary } from '../support/adversary.ts';
import { bandLimited, idealPeak, limitBand } from '../support/band-limited.ts';
import {
  EBU_RATE_HZ,
  integratedSignals,
  rangeCases,
  type Segment,
  signal11,
  signal12,
  signal14,
  signal9,
  signals10,
  signals13,
  tone,
  truePeakSignal,
} from '../support/ebu-signals.ts';
import { render64 } from '../support/processor-laws.ts';
import { type ProofTable, writeProofPage } from '../support/proof-page.ts';
import { noise, numbers, sine } from '../support/signals.ts';

const RATE = EBU_RATE_HZ;
const tables: ProofTable[] = [];
const db = (gain: number): number => 20 * Math.log10(gain);

/** Both channels of a signal: one of twice the weight measures the same with half the work. */
const meterOfBoth = () => new LoudnessMeter({ sampleRateHz: RATE, channels: 1 }, [2]);

function measured(segments: readonly Segment[]): LoudnessMeter {
  const meter = meterOfBoth();
  meter.process([tone(segments)]);
  return meter;
}

const span = (values: readonly number[], decimals = 3): string => {
  const [least, most] = [Math.min(...values).toFixed(decimals), Math.max(...values).toFixed(decimals)];
  return least === most ? least : `${least} .. ${most}`;
};

afterAll(() => {
  writeProofPage(
    'meters',
    'What the meters hold',
    [
      'Signals of EBU Tech 3341 (V4, November 2023) and Tech 3342 (2023), synthesised from their tables; 10, 11, 13 and 14 with',
      'all twenty segments. Signals 7 and 8 of the one and cases 5 and 6 of the other are recordings, which are not here.',
      'True peaks are compared with ideal interpolation by the Fourier transform. Speeds are multiples of real time on one',
      'core, by CPU time.',
    ].join('\n'),
    tables,
  );
});

describe('EBU signals', () => {
  it('read within the tolerances', () => {
    const rows: (string | number)[][] = [];
    const row = (
      name: string,
      expected: number,
      tolerances: readonly [number, number],
      readings: readonly number[],
    ) => {
      for (const reading of readings) {
        expect(reading - expected, name).toBeGreaterThanOrEqual(tolerances[0]);
        expect(reading - expected, name).toBeLessThanOrEqual(tolerances[1]);
      }
      rows.push([name, expected, `${tolerances[0]} .. +${tolerances[1]}`, span(readings)]);
    };
    const lu = [-0.1, 0.1] as const;
    for (const [number, segments] of Object.entries(integratedSignals)) {
      row(`3341 / ${number}: I`, number === '2' ? -33 : -23, lu, [measured(segments).integratedLufs]);
    }
    const [front, centre, surround] = [-28, -24, -30].map((level) => tone([[20, level]]));
    const five = new LoudnessMeter({ sampleRateHz: RATE, channels: 5 }, [1, 1, 1, 1.41, 1.41]);
    five.process([front, front, centre, surround, surround]);
    row('3341 / 6: I, five channels', -23, lu, [five.integratedLufs]);
    const running = (segments: readonly Segment[], step: number, read: (meter: LoudnessMeter) => number) => {
      const [meter, x] = [meterOfBoth(), tone(segments)];
      return Array.from({ length: Math.floor(x.length / step) }, (_, i) => {
        meter.process([x], i * step, (i + 1) * step);
        return read(meter);
      });
    };
    row('3341 / 9: S after 3 s', -23, lu, running(signal9, 480, (meter) => meter.shortTermLufs).slice(300));
    row(
      '3341 / 10: largest S, twenty files',
      -23,
      lu,
      signals10.map((segments) => measured(segments).figures.maximumShortTermLufs),
    );
    const risen = (parts: readonly (readonly Segment[])[], read: (meter: LoudnessMeter) => number) => {
      const meter = meterOfBoth();
      return parts.map((segments, i) => {
        meter.process([tone(segments)]);
        return read(meter) - i;
      });
    };
    const largestS = risen(signal11, (meter) => meter.figures.maximumShortTermLufs);
    row('3341 / 11: successive largest S, less 0 .. 19', -38, lu, largestS);
    row('3341 / 12: M after 1 s', -23, lu, running(signal12, 480, (meter) => meter.momentaryLufs).slice(100));
    row(
      '3341 / 13: largest M, twenty files',
      -23,
      lu,
      signals13.map((segments) => measured(segments).figures.maximumMomentaryLufs),
    );
    const largestM = risen(signal14, (meter) => meter.figures.maximumMomentaryLufs);
    row('3341 / 14: successive largest M, less 0 .. 19', -38, lu, largestM);
    for (let number = 15; number <= 23; number++) {
      const { signal, expectedDb } = truePeakSignal(number);
      row(`3341 / ${number}: dBTP`, expectedDb, [-0.4, 0.2], [measureTruePeak([signal, signal], RATE)]);
    }
    for (const [number, [segments, rangeLu]] of Object.entries(rangeCases)) {
      row(`3342 / ${number}: LRA`, rangeLu, [-1, 1], [measured(segments).figures.rangeLu ?? NaN]);
    }
    tables.push({ title: 'EBU signals', header: ['signal', 'expected', 'tolerance', 'reading'], rows });
  });
});

describe('true peak', () => {
  it('of 10 000 random band-limited signals is within 0.1 dB of 64 points to the sample', () => {
    const errors: Record<'fine' | 'table', number[]> = { fine: [], table: [] };
    for (let seed = 1; seed <= 10_000; seed++) {
      const x = bandLimited(seed);
      const ideal = db(idealPeak(x, 64));
      errors.fine.push(measureTruePeak([x], RATE) - ideal);
      errors.table.push(measureTruePeak([x], RATE, { method: 'table' }) - ideal);
    }
    const rows = (['fine', 'table'] as const).map((method) => {
      const sorted = errors[method].sort((a, b) => a - b);
      const at = (share: number) => sorted[Math.round(share * (sorted.length - 1))].toFixed(4);
      return [method === 'fine' ? '16 points' : 'table of BS.1770', at(0), at(0.01), at(0.5), at(0.99), at(1)];
    });
    expect(errors.fine.length).toBe(10_000);
    expect(Math.max(...errors.fine.map(Math.abs))).toBeLessThanOrEqual(0.1);
    tables.push({
      title: 'True peak of 10 000 signals band-limited to 20/48 of the sample rate: error in dB',
      header: ['interpolator', 'least', '1 %', 'median', '99 %', 'most'],
      rows,
    });
  });
});

/** True peak over the ceiling in dB, at 16 points to the sample. */
function over(x: readonly Float64Array[], options: LimiterOptions): number {
  const y = render64(new Limiter({ sampleRateHz: RATE, channels: x.length }, options), x);
  return db(Math.max(...y.map((one) => idealPeak(one, 16)))) - (options.ceilingDb ?? -1);
}

describe('the limiter', () => {
  it('with truePeak stays within 0.1 dB on 10^6 hostile samples, band-limited', () => {
    const next = numbers(2);
    const runs: { bounded: number; samples: number; shortest: number }[] = [];
    for (let seed = 1; seed <= 64; seed++) {
      const x = adversary(16_384, seed);
      x.fill(0, 15_000);
      const signal = limitBand(Float64Array.from(x));
      const options = {
        ceilingDb: -20 * next() ** 2,
        releaseMs: 300 * next() ** 3,
        lookaheadMs: 0.5 + 8 * next() ** 2,
      };
      runs.push({
        bounded: over([signal], { ...options, truePeak: true }),
        samples: over([signal], options),
        shortest: over([signal], { ...options, lookaheadMs: 0.1, truePeak: true }),
      });
    }
    expect(runs.length * 16_384).toBeGreaterThan(1e6);
    expect(Math.max(...runs.map((run) => run.bounded))).toBeLessThanOrEqual(0.1);
    const worst = (name: keyof (typeof runs)[number]) => Math.max(...runs.map((run) => run[name])).toFixed(4);
    tables.push({
      title: 'Limiter on 10^6 hostile samples: highest true peak over the ceiling, dB at 16 points to the sample',
      header: ['with truePeak, look-ahead 0.5 ms and more', 'with truePeak, look-ahead 0.1 ms', 'without'],
      rows: [[worst('bounded'), worst('shortest'), worst('samples')]],
    });
  });

  it("with truePeak stays within 0.1 dB on the kit's microphones, 12 dB too loud", () => {
    const { microphones } = simulateKit({ bars: 2 });
    const length = 131_072;
    const rows = microphoneNames.map((name) => {
      const [samples, most] = [microphones[name], microphones[name].reduce((max, v) => Math.max(max, Math.abs(v)), 0)];
      // Faded out before the end, latency included, so that the ideal interpolation does not wrap around.
      const fade = (n: number) => Math.max(0, Math.min(1, (length - 1000 - n) / 480));
      const x = Float64Array.from({ length }, (_, n) => ((4 * (samples[n] ?? 0)) / most) * fade(n));
      const bounded = over([x], { truePeak: true });
      expect(bounded, name).toBeLessThanOrEqual(0.1);
      return [name, bounded.toFixed(4), over([x], {}).toFixed(4)];
    });
    tables.push({
      title: 'Limiter on the microphones of the simulated kit, their peaks at +12 dBFS: true peak over the ceiling, dB',
      header: ['microphone', 'with truePeak', 'without'],
      rows,
    });
  });
});

/** The engine's garbage collector, so that what is counted is what is held. */
function collector(): () => void {
  setFlagsFromString('--expose-gc');
  return runInNewContext('gc') as () => void;
}

describe('metering', () => {
  it('runs at 150 times real time and more: loudness and true peak of a stereo file, 48 kHz', () => {
    const seconds = 30,
      length = seconds * RATE;
    const format = { sampleRateHz: RATE, channels: 2 };
    const { microphones } = simulateKit({ bars: 4 });
    const loop = (x: Float64Array) => Float32Array.from({ length }, (_, n) => x[n % x.length]);
    const stereo = (make: (seed: number) => Float64Array) => [1, 2].map((seed) => Float32Array.from(make(seed)));
    const pink = (seed: number) => {
      let [a, b, c] = [0, 0, 0]; // three one-pole filters: about 3 dB down for every octave
      return noise(length, seed).map((w) => {
        a = 0.99765 * a + 0.099046 * w;
        b = 0.963 * b + 0.2965164 * w;
        c = 0.57 * c + 1.0526913 * w;
        return Math.tanh(0.7 * (a + b + c + 0.1848 * w));
      });
    };
    const signals: Record<string, Float32Array[]> = {
      'overheads of the simulated kit': [loop(microphones.overheadLeft), loop(microphones.overheadRight)],
      'dense: pink noise into a saturator': stereo(pink),
      'white noise': stereo((seed) => noise(length, seed)),
      'sine, 997 Hz': stereo((seed) => sine(length, 997, RATE, 0.9, seed)),
    };
    const rows = Object.entries(signals).map(([name, x]) => {
      const speedOf = (make: () => { process(x: readonly Float32Array[]): void }): number => {
        let best = 0;
        for (let run = 0; run < 4; run++) {
          const meter = make();
          const before = cpuUsage();
          meter.process(x);
          const { user, system } = cpuUsage(before);
          best = Math.max(best, seconds / ((user + system) / 1e6));
        }
        return best;
      };
      const loudness = speedOf(() => new LoudnessMeter(format)),
        truePeak = speedOf(() => new TruePeakMeter(format));
      const both = 1 / (1 / loudness + 1 / truePeak);
      expect(both, name).toBeGreaterThanOrEqual(150);
      return [name, ...[loudness, truePeak, both].map((speed) => speed.toFixed(0))];
    });
    tables.push({ title: 'Speed, times real time', header: ['stereo signal', 'loudness', 'true peak', 'both'], rows });
  });

  it('needs no more memory after an hour than after a minute', () => {
    const format = { sampleRateHz: 8000, channels: 1 };
    const minute = [Float32Array.from(noise(60 * 8000, 1, 0.5))];
    const collect = collector();
    collect();
    const before = memoryUsage().arrayBuffers;
    const meters = [new LoudnessMeter(format), new TruePeakMeter(format)];
    const used = () => {
      collect();
      return (memoryUsage().arrayBuffers - before) / 1024;
    };
    const after = Array.from({ length: 60 }, () => {
      for (const meter of meters) meter.process(minute);
      return Math.round(used());
    });
    expect(after[59]).toBeLessThanOrEqual(after[0]);
    tables.push({
      title: 'Memory of both meters in arrays, kB',
      header: ['after a minute', 'after an hour'],
      rows: [[after[0], after[59]]],
    });
  });
});
