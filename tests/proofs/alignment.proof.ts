/**
 * How exactly delays and polarities of the simulated kit are found: 20 seeds, three sample rates, the player's own
 * groove, hits picked from the recordings, natural bleed, reflections, and noise at -60 dB.
 */
import { execFileSync } from 'node:child_process';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import { buildSync } from 'esbuild';
import { afterAll, describe, expect, it } from 'vitest';
import { recordedStrokes } from '../../scripts/recorded-strokes.mjs';
import { alignKit } from '../../src/alignment/align-kit.ts';
import { estimateDelay } from '../../src/alignment/delay-estimate.ts';
import type { KitMicrophone, PairAlignment } from '../../src/alignment/kit-alignment.ts';
import { RealFft } from '../../src/core/fft.ts';
import { resample } from '../../src/filters/resampler.ts';
import { microphoneTargets } from '../../src/simulation/layout.ts';
import { type DrumName, drumNames, type MicrophoneName, microphoneNames } from '../../src/simulation/names.ts';
import { type SimulatedKit, simulateKit, type SimulateKitOptions } from '../../src/simulation/simulate-kit.ts';
import { noise, sine } from '../support/signals.ts';
import { type ProofTable, writeProofPage } from '../support/proof-page.ts';
import vectors from '../vectors/alignment.json';

const SEEDS = Array.from({ length: 20 }, (_, i) => i + 1);
/** With these, the groove has at least 24 hits on every drum. */
const BARS = 32;
const FEWEST_HITS = 20;
const NOISE_DB = -60;

interface Miss {
  readonly kind: 'close' | 'overhead' | 'tom';
  readonly pair: string;
  readonly samples: number;
  readonly rightPolarity: boolean;
  readonly confidence: number;
  readonly hits: number;
}

const tables: ProofTable[] = [];
const tmp = mkdtempSync(join(tmpdir(), 'alignment-proof-'));

function microphonesOf(kit: SimulatedKit): Record<string, KitMicrophone> {
  return Object.fromEntries(
    microphoneNames.map((name): [string, KitMicrophone] => {
      const drum = microphoneTargets[name];
      const role = drum !== undefined ? 'close' : name.startsWith('room') ? 'room' : 'overhead';
      return [name, { source: kit.microphones[name], role, drum }];
    }),
  );
}

function missOf({ truth }: SimulatedKit, { reference, other, drum, estimate }: PairAlignment): Miss {
  const [a, b, d] = [reference as MicrophoneName, other as MicrophoneName, drum as DrumName];
  expect(truth.hits.filter((hit) => hit.drum === d).length).toBeGreaterThanOrEqual(FEWEST_HITS);
  return {
    kind: drum.startsWith('tom') ? 'tom' : microphoneTargets[b] === undefined ? 'overhead' : 'close',
    pair: `${reference} - ${other}`,
    samples: Math.abs(estimate.delaySamples - (truth.delaySamples[b][d] - truth.delaySamples[a][d])),
    rightPolarity: estimate.polarity === truth.polarity[a][d] * truth.polarity[b][d],
    confidence: estimate.confidence,
    hits: estimate.hits.filter((hit) => !hit.outlier).length,
  };
}

function missesOf(sampleRateHz: number, seed: number, more: SimulateKitOptions = {}): Miss[] {
  const kit = simulateKit({ seed, sampleRateHz, bars: BARS, noiseFloorDb: NOISE_DB, ...more });
  if (sampleRateHz === 48000 && seed === 1 && more.oneShots === undefined) {
    for (const name of microphoneNames)
      writeFileSync(join(tmp, `${name}.f32`), Float32Array.from(kit.microphones[name]));
  }
  return alignKit(microphonesOf(kit), { sampleRateHz }).pairs.map((pair) => missOf(kit, pair));
}

const rank = (values: readonly number[], share: number): number =>
  [...values].sort((a, b) => a - b)[Math.min(values.length - 1, Math.ceil(share * values.length) - 1)];
const worst = (misses: readonly Miss[]): number => Math.max(...misses.map(({ samples }) => samples));

function figures(name: string, misses: readonly Miss[], sampleRateHz: number): (string | number)[] {
  const samples = misses.map((miss) => miss.samples);
  const cells = [rank(samples, 0.5), rank(samples, 0.95), worst(misses)];
  return [
    name,
    misses.length,
    ...cells.map((cell) => cell.toFixed(3)),
    ...cells.map((cell) => ((cell / sampleRateHz) * 1e6).toFixed(2)),
    misses.filter(({ rightPolarity }) => !rightPolarity).length,
    Math.min(...misses.map(({ confidence }) => confidence)).toFixed(2),
  ];
}

const HEADER = ['pairs', 'estimates', 'median', '95 %', 'worst', 'median us', '95 % us', 'worst us', 'wrong polarity', 'least confidence']; // prettier-ignore
const ofKind = (misses: readonly Miss[], kind: Miss['kind']): Miss[] => misses.filter((miss) => miss.kind === kind);

function addTables(title: string, misses: readonly Miss[], sampleRateHz: number): void {
  const kinds = { close: 'close - close', overhead: 'close - overhead', tom: 'toms - overhead' } as const;
  const rows = Object.entries(kinds).map(([kind, name]) =>
    figures(name, ofKind(misses, kind as Miss['kind']), sampleRateHz),
  );
  tables.push({ title, header: HEADER, rows });
  if (sampleRateHz !== 48000) return;
  const pairs = [...new Set(misses.map(({ pair }) => pair))];
  tables.push({
    title: `${title}: each pair`,
    header: [...HEADER, 'hits that agree, at least'],
    rows: pairs.map((pair) => {
      const own = misses.filter((miss) => miss.pair === pair);
      return [...figures(pair, own, sampleRateHz), Math.min(...own.map(({ hits }) => hits))];
    }),
  });
}

function expectRight(misses: readonly Miss[]): void {
  expect(misses.filter(({ rightPolarity }) => !rightPolarity)).toEqual([]);
}

describe.each([44100, 48000, 96000])('at %d Hz', (sampleRateHz) => {
  it('delays and polarities agree with the truth', () => {
    const misses = SEEDS.flatMap((seed) => missesOf(sampleRateHz, seed));
    addTables(`${sampleRateHz} Hz`, misses, sampleRateHz);
    expectRight(misses);
    for (const kind of ['close', 'overhead'] as const) {
      const samples = ofKind(misses, kind).map((miss) => miss.samples);
      expect(rank(samples, 0.5)).toBeLessThanOrEqual(0.03);
      expect(rank(samples, 0.95)).toBeLessThanOrEqual(0.1);
      expect(Math.max(...samples)).toBeLessThanOrEqual(0.5);
    }
    expect(rank(ofKind(misses, 'tom').map((miss) => miss.samples), 0.95)).toBeLessThanOrEqual(0.5); // prettier-ignore
  });
});

it('with recorded strokes, too', async () => {
  const oneShots = await recordedStrokes(resample);
  const misses = SEEDS.flatMap((seed) => missesOf(48000, seed, { oneShots }));
  addTables('Recorded strokes, 48000 Hz', misses, 48000);
  expectRight(misses);
  expect(rank(misses.map(({ samples }) => samples), 0.95)).toBeLessThanOrEqual(0.25); // prettier-ignore
});

it('without bleed the error nearly vanishes', () => {
  const kit = simulateKit({ seed: 1, bars: BARS, noiseFloorDb: NOISE_DB });
  const clean = (name: MicrophoneName, drum: DrumName): Float64Array => {
    const sum = kit.noise(name);
    kit.stem(name, drum).forEach((sample, n) => (sum[n] += sample));
    return sum;
  };
  const misses = alignKit(microphonesOf(kit), { sampleRateHz: 48000 }).pairs.map((pair) => {
    const [reference, other, drum] = [pair.reference as MicrophoneName, pair.other as MicrophoneName, pair.drum as DrumName]; // prettier-ignore
    const hitSamples = pair.estimate.hits.map((hit) => hit.sample);
    const options = { sampleRateHz: 48000, hitSamples };
    return missOf(kit, { ...pair, estimate: estimateDelay(clean(reference, drum), clean(other, drum), options) });
  });
  expectRight(misses);
  expect(worst(misses)).toBeLessThan(0.05);
  tables.push({ title: 'Seed 1, 48000 Hz, without bleed', header: HEADER, rows: [figures('all', misses, 48000)] });
});

it('a copy that is late by a fraction is found without the bias of a parabola', () => {
  const length = 8192;
  const fft = new RealFft(length);
  const re = new Float64Array(fft.bins);
  const im = new Float64Array(fft.bins);
  fft.forward(noise(length, 1), re, im);
  for (let k = Math.round((fft.bins * 20) / 24); k < fft.bins; k++) re[k] = im[k] = 0; // 20/48 of the sample rate
  const x = new Float64Array(length);
  fft.inverse(re, im, x);
  const rows = vectors.parabolic_bias_full_band_sinc.map(([fraction, parabola]) => {
    const turn = re.map((_, k) => (-2 * Math.PI * k * fraction) / length);
    const y = new Float64Array(length);
    fft.inverse(
      re.map((value, k) => value * Math.cos(turn[k]) - im[k] * Math.sin(turn[k])),
      im.map((value, k) => value * Math.cos(turn[k]) + re[k] * Math.sin(turn[k])),
      y,
    );
    const { delaySamples } = estimateDelay(x, y, { sampleRateHz: 48000, weighting: 'plain' });
    expect(Math.abs(delaySamples - fraction)).toBeLessThan(0.001);
    return [fraction, parabola, delaySamples.toFixed(5)];
  });
  tables.push({
    title: 'A full-band peak between samples',
    header: ['true', 'by a parabola (published)', 'found'],
    rows,
  });
});

it('white noise, 37 samples late, gain -0.6, with a normalised correlation of -0.979', () => {
  const x = noise(24000, 3);
  const level = 0.6 * Math.sqrt(1 / 0.979 ** 2 - 1);
  const other = noise(24000, 4);
  const y = x.map((_, n) => -0.6 * (x[n - 37] ?? 0) + level * other[n]);
  const rows = (['plain', 'phaseTransform', 'coherence'] as const).map((weighting) => {
    const { delaySamples, polarity, correlation } = estimateDelay(x, y, { sampleRateHz: 48000, weighting });
    expect(Math.abs(delaySamples - 37)).toBeLessThan(0.01);
    expect(polarity).toBe(-1);
    const peak = correlation.values[(37 - correlation.startSamples) / correlation.stepSamples];
    return [weighting, delaySamples.toFixed(4), peak.toFixed(3)];
  });
  expect(Math.abs(Number(rows[0][2]) + 0.979)).toBeLessThan(0.005);
  tables.push({ title: 'White noise, 37 samples, gain -0.6', header: ['weighting', 'delay', 'peak'], rows });
});

it('two microphones summed ripple as the table says', () => {
  const fft = new RealFft(4096);
  const rows = vectors.ripple.map(({ level_diff_dB, g, peak_dB, notch_dB }) => {
    const sum = new Float64Array(fft.size);
    sum[0] = 1;
    sum[48] += g; // 1 ms at 48 kHz
    const re = new Float64Array(fft.bins);
    const im = new Float64Array(fft.bins);
    fft.forward(sum, re, im);
    const levels = Array.from(re, (value, k) => 20 * Math.log10(Math.hypot(value, im[k])));
    const [top, bottom] = [Math.max(...levels), Math.min(...levels)];
    expect(Math.abs(top - peak_dB)).toBeLessThan(0.001);
    if (notch_dB !== null) expect(Math.abs(bottom - notch_dB)).toBeLessThan(0.05); // bins beside the notch
    return [
      level_diff_dB,
      peak_dB,
      top.toFixed(3),
      notch_dB ?? '-inf',
      notch_dB === null ? 'below -200' : bottom.toFixed(3),
    ];
  });
  tables.push({ title: 'Two microphones summed, 1 ms apart', header: ['level difference dB', 'peak dB', 'measured', 'notch dB', 'measured'], rows }); // prettier-ignore
});

it('what cannot be told has a low confidence and an explanation', () => {
  const kit = simulateKit({ seed: 1, bars: 8, noiseFloorDb: NOISE_DB });
  const stranger = simulateKit({ seed: 2, bars: 8, noiseFloorDb: NOISE_DB });
  const bleed = kit.noise('hat');
  for (const drum of drumNames) {
    if (drum !== 'hat') kit.stem('hat', drum).forEach((sample, n) => (bleed[n] += sample));
  }
  const { kickIn, snareTop } = kit.microphones;
  const how = { sampleRateHz: 48000 };
  const fromKit = alignKit({ ...microphonesOf(kit), hat: { source: bleed, role: 'close', drum: 'hat' } }, how);
  const onlyBleed = fromKit.pairs.find(({ drum }) => drum === 'hat') as PairAlignment;
  const cases = {
    'a silent microphone': estimateDelay(kickIn, new Float64Array(kit.frames), how),
    'two unrelated recordings': estimateDelay(snareTop, stranger.microphones.snareTop, how),
    'a pure tone': estimateDelay(sine(48000, 997, 48000), sine(48000, 997, 48000, 1, 1), how),
    'a 4-sample file': estimateDelay(Float64Array.of(1, 2, 3, 4), Float64Array.of(2, 3, 1, 0), how),
    'a close microphone that hears only bleed': onlyBleed.estimate,
  };
  const rows = Object.entries(cases).map(([name, { confidence, reasons }]) => {
    expect(confidence, name).toBeLessThan(0.3);
    expect(reasons.length, name).toBeGreaterThan(0);
    return [name, confidence.toFixed(2), reasons.join('; ')];
  });
  const same = estimateDelay(kickIn, kickIn.slice(), how);
  expect(same).toMatchObject({ delaySamples: 0, polarity: 1, confidence: 1, reasons: [] });
  rows.push(['two identical files', same.confidence.toFixed(2), `delay exactly ${same.delaySamples}`]);
  tables.push({ title: 'Hostile cases', header: ['case', 'confidence', 'reasons'], rows });
});

it('12 microphones and 4 minutes take at most 30 s of one core and 500 MB', () => {
  const script = join(tmp, 'long-take.mjs');
  buildSync({
    entryPoints: [resolve('tests/proofs/alignment-long-take.ts')],
    outfile: script,
    bundle: true,
    platform: 'node',
    format: 'esm',
    logLevel: 'silent',
  });
  const output = execFileSync(process.execPath, [script, tmp, '4'], { encoding: 'utf8' });
  const { cpuSeconds, residentMb, pairs } = JSON.parse(output) as { cpuSeconds: number; residentMb: number; pairs: number }; // prettier-ignore
  tables.push({
    title: '12 microphones, 4 minutes, 48000 Hz, from files',
    header: ['pairs', 'CPU s', 'resident MB at most'],
    rows: [[pairs, cpuSeconds.toFixed(1), residentMb.toFixed(0)]],
  });
  expect(cpuSeconds).toBeLessThan(30);
  expect(residentMb).toBeLessThan(500);
});

afterAll(() => {
  rmSync(tmp, { recursive: true, force: true });
  const text = [
    `Kits of the simulator with its own bleed and reflections and a noise floor of ${NOISE_DB} dB: ${SEEDS.length} seeds of ${BARS} bars (66 s).`,
    'Nothing but the recordings is given to `alignKit`, which picks the hits itself. Figures are magnitudes of the error',
    'of the delay between two microphones, for the drum that they share, in samples and in microseconds.',
    `In each take every drum is struck at least ${FEWEST_HITS} times; the estimate rests on the hits that a drum has for itself.`,
    '',
    'What limits them is bleed: other drums sound in the same stretch, with delays of their own. One table shows what is',
    'left without it, with reflections and noise as they are.',
    'CPU time is that of a shared machine with two cores; the long take repeats 66 s of seed 1.',
  ].join('\n');
  writeProofPage('alignment', 'Alignment: delays and polarities of a kit', text, tables);
});
