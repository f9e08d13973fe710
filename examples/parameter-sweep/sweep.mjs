/**
 * A parameter sweep: how much bleed a gate takes away, and what it costs the hits, by its threshold, over kits of several
 * seeds. Writes a table (CSV, JSON, NPY), a picture, and a manifest from which the run can be repeated.
 *
 *     node examples/parameter-sweep/sweep.mjs [folder]
 */
import { createHash } from 'node:crypto';
import { mkdirSync, renameSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { Gate } from 'batterhead/dynamics';
import { Equaliser } from 'batterhead/filters';
import { drawChart, linearAxis } from 'batterhead/plots';
import { simulateKit } from 'batterhead/simulation';
import { npy } from './npy.mjs';

const folder = process.argv[2] ?? 'out/parameter-sweep';
const seeds = [1, 2, 3];
const thresholdsDb = [-48, -42, -36, -30, -24, -18];
const settings = { holdMs: 120, releaseMs: 150, lookaheadMs: 2, rangeDb: 40 };
/** The gate listens where the snare is louder than the kick. */
const keyBands = /** @type {const} */ ([
  { type: 'highpass', frequencyHz: 150 },
  { type: 'lowpass', frequencyHz: 5000 },
]);
const FULL = 0.5; // velocity; softer are ghost notes
const ATTACK_SECONDS = 0.005;

/** @param {ArrayLike<number>} x @param {number} from @param {number} to */
const peak = (x, from, to) => {
  let most = 0;
  for (let n = Math.max(0, from); n < Math.min(to, x.length); n++) most = Math.max(most, Math.abs(x[n]));
  return most;
};
/** @param {number} ratio */
const decibels = (ratio) => 20 * Math.log10(Math.max(ratio, 1e-10));
/** @param {Float64Array} x */
const power = (x) => x.reduce((sum, v) => sum + v * v, 0);

/** One kit: the microphone, what it hears of its own drum, and where the hits arrive. @param {number} seed */
function kitOf(seed) {
  const kit = simulateKit({ seed, bars: 2, tailSeconds: 0.5 });
  const microphone = kit.microphones.snareTop;
  const snare = kit.stem('snareTop', 'snare');
  const hits = kit.truth.hits
    .filter(({ drum, velocity }) => drum === 'snare' && velocity >= FULL)
    .map(({ arrivals }) => Math.round(arrivals.snareTop));
  return { sampleRateHz: kit.sampleRateHz, microphone, snare, bleed: microphone.map((v, n) => v - snare[n]), hits };
}

/**
 * How much less bleed there is, and the most that the first 5 ms of a hit lost, in decibels.
 * @param {ReturnType<typeof kitOf>} kit
 * @param {number} thresholdDb
 */
function judge({ sampleRateHz, microphone, snare, bleed, hits }, thresholdDb) {
  const format = { sampleRateHz, channels: 1 };
  const gate = new Gate(format, { ...settings, thresholdDb }, { keyFilter: new Equaliser(format, keyBands) });
  /** What the gate, which hears the microphone, makes of one part of it. @param {Float64Array} part */
  const gated = (part) => {
    const later = (/** @type {Float64Array} */ x) =>
      Float64Array.from({ length: x.length + gate.latencySamples }, (_, n) => x[n] ?? 0);
    const output = later(part);
    gate.reset();
    gate.process([output], [output], { key: [later(microphone)] });
    return output.subarray(gate.latencySamples);
  };
  const [kept, left] = [gated(snare), gated(bleed)];
  const attack = Math.round(ATTACK_SECONDS * sampleRateHz);
  const losses = hits.map((at) => decibels(peak(snare, at, at + attack) / peak(kept, at, at + attack)));
  return { bleedDownDb: decibels(Math.sqrt(power(bleed) / power(left))), lossDb: Math.max(...losses) };
}

const rows = seeds.flatMap((seed) => {
  const kit = kitOf(seed);
  return thresholdsDb.map((thresholdDb) => ({ seed, thresholdDb, ...judge(kit, thresholdDb) }));
});
const columns = /** @type {const} */ (['seed', 'thresholdDb', 'bleedDownDb', 'lossDb']);
const chart = drawChart({
  title: 'A gate at the snare, by its threshold',
  x: linearAxis({ label: 'Threshold (dB)', from: thresholdsDb[0], to: thresholdsDb[thresholdsDb.length - 1] }),
  y: linearAxis({ label: 'Bleed down (dB)', from: 0, to: Math.max(...rows.map(({ bleedDownDb }) => bleedDownDb)) }),
  marks: seeds.map((seed) => {
    const own = rows.filter((row) => row.seed === seed);
    return {
      kind: /** @type {const} */ ('line'),
      name: `seed ${seed}`,
      x: own.map(({ thresholdDb }) => thresholdDb),
      y: own.map(({ bleedDownDb }) => bleedDownDb),
    };
  }),
});

/** @type {Record<string, string | Uint8Array>} */
const files = {
  'results.csv':
    [columns.join(','), ...rows.map((row) => columns.map((name) => row[name]).join(','))].join('\n') + '\n',
  'results.json': `${JSON.stringify(rows, null, 2)}\n`,
  'results.npy': npy(rows.map((row) => columns.map((name) => row[name]))),
  'bleed.svg': chart,
};
mkdirSync(folder, { recursive: true });
const write = (/** @type {string} */ name, /** @type {string | Uint8Array} */ content) => {
  writeFileSync(join(folder, `${name}.new`), content);
  renameSync(join(folder, `${name}.new`), join(folder, name));
};
for (const [name, content] of Object.entries(files)) write(name, content);
write(
  'manifest.json', // last: where it is, the rest is complete
  `${JSON.stringify(
    {
      what: 'bleed and attack loss of a gate at the snare, by threshold',
      seeds,
      thresholdsDb,
      settings,
      keyBands,
      columns,
      files: Object.fromEntries(
        Object.entries(files).map(([name, content]) => [name, createHash('sha256').update(content).digest('hex')]),
      ),
    },
    null,
    2,
  )}\n`,
);
console.log(`${rows.length} renders: ${folder}`);
