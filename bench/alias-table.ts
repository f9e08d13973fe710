/**
 * Alias table of the clippers, with the cost of each way: `npm run bench:alias` prints it and writes `docs/aliasing.md`.
 *
 * Alias: worst line from 20 Hz to 20 kHz that is no harmonic, relative to the fundamental; Kaiser window of beta 28 over
 * 65536 points, 25 Hz to either side of a harmonic left out. Cost: time of the processor, not of the clock, per sample
 * of one channel at 48 kHz, the least of some runs.
 */
import { writeFileSync } from 'node:fs';
import { HardClipper } from '../src/saturation/hard-clipper.ts';
import { SoftClipper } from '../src/saturation/soft-clipper.ts';
import { sine } from '../tests/support/signals.ts';
import { fourierHarmonics, plainCurves } from '../tests/saturation/reference-curves.ts';
import { amplitudeAt, POINTS, worstAlias } from '../tests/support/spectrum.ts';
import { aliasingPage, type Row } from './aliasing-page.ts';

const RATE = 48000;
const format = { sampleRateHz: RATE, channels: 1 };
const SETTLE = 400;
const RUNS = 5;
const DRIVE_DB = 12;
const HARMONIC = 17;

const curves = ['hard', 'cubic', 'tanh'] as const;
const antialiasings = ['none', 'firstAntiderivative', 'secondAntiderivative', 'cornerCorrection'] as const;
const factors = [1, 2, 4, 8, 16] as const;

type Way = Pick<Row, 'curve' | 'antialiasing' | 'oversampling'>;

function create({ curve, antialiasing, oversampling }: Way): HardClipper | SoftClipper {
  const options = { driveDb: DRIVE_DB, antialiasing, oversampling };
  return curve === 'hard' ? new HardClipper(format, options) : new SoftClipper(format, { ...options, curve });
}

function clipped(way: Way, frequencyHz: number): Float64Array {
  const y = new Float64Array(POINTS + SETTLE);
  create(way).process([sine(y.length, frequencyHz, RATE)], [y]);
  return y.subarray(SETTLE);
}

/** How far the 17th harmonic of 997 Hz, at 16.9 kHz, is from the curve's own, in dB. */
function harmonicErrorDb(way: Way, y: Float64Array): number {
  const f = way.curve === 'hard' ? (u: number) => Math.max(-1, Math.min(1, u)) : plainCurves[way.curve];
  const expected = fourierHarmonics((x) => f(10 ** (DRIVE_DB / 20) * x), HARMONIC)[HARMONIC];
  return 20 * Math.log10(amplitudeAt(y, HARMONIC * 997, RATE) / expected);
}

function nanosecondsPerSample(way: Way): number {
  const clipper = create(way);
  const block = [sine(128, 997, RATE)],
    output = [new Float64Array(128)];
  const blocks = 100 + Math.round(2000 / way.oversampling);
  let least = Infinity;
  for (let run = 0; run < RUNS; run++) {
    const begin = process.cpuUsage();
    for (let b = 0; b < blocks; b++) clipper.process(block, output);
    const { user, system } = process.cpuUsage(begin);
    least = Math.min(least, (1000 * (user + system)) / (blocks * 128));
  }
  return least;
}

const rows = curves.flatMap((curve) =>
  antialiasings
    .filter((antialiasing) => curve !== 'tanh' || antialiasing !== 'cornerCorrection')
    .flatMap((antialiasing) =>
      factors.map((oversampling): Row => {
        const way = { curve, antialiasing, oversampling };
        const low = clipped(way, 997);
        const row = {
          ...way,
          lowDb: worstAlias(low, 997, RATE),
          highDb: worstAlias(clipped(way, 4987), 4987, RATE),
          harmonicDb: harmonicErrorDb(way, low),
          latencySamples: create(way).latencySamples,
          nanoseconds: nanosecondsPerSample(way),
        };
        console.log(
          `${curve.padEnd(5)} ${antialiasing.padEnd(20)} ${String(oversampling).padStart(2)}x` +
            `  997 Hz ${row.lowDb.toFixed(1).padStart(7)} dBc  4987 Hz ${row.highDb.toFixed(1).padStart(7)} dBc` +
            `  h17 ${row.harmonicDb.toFixed(2).padStart(6)} dB` +
            `  ${String(row.latencySamples).padStart(3)} samples  ${row.nanoseconds.toFixed(0).padStart(5)} ns`,
        );
        return row;
      }),
    ),
);
writeFileSync('docs/aliasing.md', aliasingPage(rows));
