/** How well hits are found, on kits that played no part in tuning; writes `docs/proofs/hits.md`. */
import { cpuUsage } from 'node:process';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { recordedStrokes } from '../../scripts/recorded-strokes.mjs';
import { sourceOf } from '../../src/core/sample-source.ts';
import { resample } from '../../src/filters/resampler.ts';
import { detectHits } from '../../src/hits/detect-hits.ts';
import { type Hit, type HitList, hitListOf } from '../../src/hits/hit-list.ts';
import { type Onset, OnsetDetector } from '../../src/hits/onset-detector.ts';
import { type HitScore, scoreHits } from '../../src/hits/score-hits.ts';
import type { OneShots } from '../../src/simulation/one-shots.ts';
import { type SimulatedKit, simulateKit, type TrueHit } from '../../src/simulation/simulate-kit.ts';
import { type CloseDrum, closeMicrophones, ghostly, truthOf } from '../hits/kit-hits.ts';
import { type ProofTable, writeProofPage } from '../support/proof-page.ts';

const RATE = 48000;
const SEEDS = Array.from({ length: 20 }, (_, i) => i + 1);
const BARS = 8; // a phrase that ends in a short fill and one that ends in a long one
const BLEED_DB = -12;
const TOLERANCE_MS = 10;
const LOUD_DB = -14;
const APART = 2_000_000; // samples between kits in a pooled list
const REQUIRED = ['kick', 'snare', 'tom1', 'tom2'] as const;
const ALL = [...REQUIRED, 'hat', 'ride'] as const;

interface Pool {
  readonly truth: Hit[];
  readonly found: Hit[];
}
type Pools = Record<CloseDrum, Pool> & { readonly strokes: TrueHit[] };

const emptyPools = (): Pools => ({
  ...(Object.fromEntries(ALL.map((drum) => [drum, { truth: [], found: [] }])) as unknown as Record<CloseDrum, Pool>),
  strokes: [],
});

const listOf = (hits: readonly Hit[]): HitList => hitListOf(RATE, hits);

function addKit(pools: Pools, kit: SimulatedKit, index: number): { cpuSeconds: number; kit: SimulatedKit } {
  const began = cpuUsage();
  const { hits } = detectHits(closeMicrophones(kit), RATE);
  const { user, system } = cpuUsage(began);
  const moved = (hit: Hit): Hit => ({ ...hit, sample: hit.sample + index * APART });
  pools.strokes.push(...kit.truth.hits.map((hit) => ({ ...hit, sample: hit.sample + index * APART })));
  for (const drum of ALL) {
    pools[drum].truth.push(...truthOf(kit, drum).hits.map(moved));
    pools[drum].found.push(...hits.filter((hit) => hit.drum === drum).map(moved));
  }
  return { cpuSeconds: (user + system) / 1e6, kit };
}

/** The score over true hits down to `LOUD_DB`: what stands for a softer one is neither right nor wrong. */
function scoreLoud({ truth, found }: Pool): HitScore {
  const soft = truth.filter(({ velocityDb }) => velocityDb < LOUD_DB);
  const near = (TOLERANCE_MS / 1000) * RATE;
  const rest = found.filter(({ sample }) => !soft.some((hit) => Math.abs(hit.sample - sample) <= near));
  return scoreHits(listOf(truth.filter((hit) => !soft.includes(hit))), listOf(rest), TOLERANCE_MS);
}

const scoreAll = ({ truth, found }: Pool): HitScore => scoreHits(listOf(truth), listOf(found), TOLERANCE_MS);

/** True hits with nothing near, and found hits with nothing near. */
function leftOver({ truth, found }: Pool): { missed: Hit[]; invented: Hit[] } {
  const near = (TOLERANCE_MS / 1000) * RATE;
  const without = (hits: Hit[], others: Hit[]) =>
    hits.filter((hit) => !others.some(({ sample }) => Math.abs(sample - hit.sample) <= near));
  return { missed: without(truth, found), invented: without(found, truth) };
}

/** How many of some hits have a stroke from `fromMs` to `toMs` after them that is one of the wanted. */
function countNear(
  hits: readonly Hit[],
  strokes: readonly TrueHit[],
  [fromMs, toMs]: readonly [number, number],
  wanted: (stroke: TrueHit, hit: Hit) => boolean,
): number {
  const after = (stroke: TrueHit, hit: Hit) => ((stroke.sample - hit.sample) * 1000) / RATE;
  return hits.filter((hit) =>
    strokes.some((stroke) => wanted(stroke, hit) && after(stroke, hit) >= fromMs && after(stroke, hit) <= toMs),
  ).length;
}

const rowOf = (name: string, s: HitScore): (string | number)[] => [
  name,
  s.truePositives + s.falseNegatives,
  s.falseNegatives,
  s.falsePositives,
  s.doubled,
  s.fMeasure.toFixed(4),
  s.medianErrorMs?.toFixed(3) ?? '-',
  s.percentile95ErrorMs?.toFixed(3) ?? '-',
];

const HEADER = [
  'drum',
  'true hits',
  'missed',
  'false',
  'of these doubled',
  'F',
  'median error, ms',
  '95th percentile, ms',
];
const tables: ProofTable[] = [];
const simulated = emptyPools();
const recorded = emptyPools();
let cpuSeconds = 0;
let microphoneSeconds = 0;

beforeAll(async () => {
  const oneShots = (await recordedStrokes(resample)) as OneShots;
  SEEDS.forEach((seed, index) => {
    const strokes = ghostly(seed, BARS);
    const run = addKit(simulated, simulateKit({ seed, bleedDb: BLEED_DB, strokes }), index);
    if (index > 0) {
      cpuSeconds += run.cpuSeconds; // the first run compiles
      microphoneSeconds += (ALL.length * run.kit.frames) / RATE;
    }
    addKit(recorded, simulateKit({ seed, bleedDb: BLEED_DB, strokes, oneShots }), index);
  });
});

afterAll(() => {
  const text = [
    `${SEEDS.length} kits (seeds 1 to 20) of ${BARS} bars with both fills, ghost notes drawn evenly from -20 to -14 dB below full force,`,
    `bleed ${BLEED_DB} dB, six close microphones, 48 kHz, default options. A hit counts within ${TOLERANCE_MS} ms; timing is scored against`,
    'the arrival of the direct sound at the microphone. Every constant was tuned on the seeds 101 to 108 alone.',
    '',
    'With recorded strokes the arrival is where the recording first reaches -40 dB, less half a millisecond: their',
    'timing figures hold that half millisecond, and whatever the slow beginning of a recording adds. Ride and hat are shown,',
    'not required. The last table but two counts what stands beside the misses.',
  ].join('\n');
  writeProofPage('hits', 'Hits found', text, tables);
});

describe('simulated kits', () => {
  it('hits down to -14 dB: F >= 0.98', () => {
    const scores = ALL.map((drum) => [drum, scoreLoud(simulated[drum])] as const);
    const rows = scores.map(([drum, score]) => rowOf(drum, score));
    tables.push({ title: 'Simulated kits, hits down to -14 dB', header: HEADER, rows });
    for (const drum of REQUIRED) expect(scoreLoud(simulated[drum]).fMeasure, drum).toBeGreaterThanOrEqual(0.98);
  });

  it('with ghost notes: F >= 0.95, doubled <= 0.5 %, median error <= 0.2 ms, 95th percentile <= 1 ms', () => {
    const rows = ALL.map((drum) => rowOf(drum, scoreAll(simulated[drum])));
    tables.push({ title: 'Simulated kits, all hits', header: HEADER, rows });
    for (const drum of REQUIRED) {
      const score = scoreAll(simulated[drum]);
      expect(score.fMeasure, drum).toBeGreaterThanOrEqual(0.95);
      expect(score.doubled / (score.truePositives + score.falseNegatives), drum).toBeLessThanOrEqual(0.005);
      expect(score.medianErrorMs, drum).toBeLessThanOrEqual(0.2);
      expect(score.percentile95ErrorMs, drum).toBeLessThanOrEqual(1);
    }
  });

  it('of the snare by velocity', () => {
    const { byVelocity } = scoreAll(simulated.snare);
    tables.push({
      title: 'Snare by velocity',
      header: ['velocity from', 'true hits', 'missed', 'doubled'],
      rows: byVelocity.map(({ fromVelocity, hits, missed, doubled }) => [fromVelocity, hits, missed, doubled]),
    });
    expect(byVelocity.reduce((sum, { hits }) => sum + hits, 0)).toBe(simulated.snare.truth.length);
  });
});

describe('recorded strokes through the room', () => {
  it('F >= 0.96 over kick, snare and toms', () => {
    const pooled = {
      truth: REQUIRED.flatMap((d) => recorded[d].truth),
      found: REQUIRED.flatMap((d) => recorded[d].found),
    };
    const rows = ALL.map((drum) => rowOf(drum, scoreAll(recorded[drum])));
    rows.push(rowOf('kick, snare and toms', scoreAll(pooled)));
    tables.push({ title: 'Recorded strokes, all hits', header: HEADER, rows });
    expect(scoreAll(pooled).fMeasure).toBeGreaterThanOrEqual(0.96);
    for (const drum of REQUIRED) expect(scoreAll(recorded[drum]).fMeasure, drum).toBeGreaterThanOrEqual(0.9);
  });
});

describe('what limits it', () => {
  it('is counted', () => {
    const snare = leftOver(simulated.snare);
    const floorTom = leftOver(recorded.tom2);
    const invented = REQUIRED.flatMap((drum) => leftOver(recorded[drum]).invented);
    const hat = leftOver(recorded.hat);
    const rows = [
      [
        'simulated snare, missed',
        snare.missed.length,
        'another drum struck within 15 ms',
        countNear(snare.missed, simulated.strokes, [-15, 15], ({ drum }) => drum !== 'snare'),
      ],
      [
        'recorded floor tom, missed',
        floorTom.missed.length,
        'struck 20 to 150 ms before, still ringing',
        countNear(floorTom.missed, recorded.strokes, [-150, -20], ({ drum }) => drum === 'tom2'),
      ],
      [
        'recorded kick, snare, toms, false',
        invented.length,
        'a crash, which has no microphone of its own, within 15 ms',
        countNear(invented, recorded.strokes, [-15, 15], ({ drum }) => drum.startsWith('crash')),
      ],
      [
        'recorded hat, missed',
        hat.missed.length,
        'struck by the foot, a recording that begins softly',
        countNear(hat.missed, recorded.strokes, [-10, 10], ({ drum, stroke }) => drum === 'hat' && stroke === 'pedal'),
      ],
    ];
    tables.push({ title: 'What limits it', header: ['hits', 'number', 'beside which', 'number'], rows });
    expect(snare.missed.length).toBeLessThan(0.05 * simulated.snare.truth.length);
  });
});

describe('the detector', () => {
  it('gives the same onsets for any block size', () => {
    const x = simulateKit({ seed: 1, bars: 2, bleedDb: BLEED_DB }).microphones.snareTop;
    const inBlocks = (size: number): Onset[] => {
      const detector = new OnsetDetector(RATE, { riseDb: 3, minimumDistanceMs: 10 });
      const onsets: Onset[] = [];
      for (let at = 0; at < x.length; at += size)
        onsets.push(...detector.process(x, at, Math.min(x.length, at + size)));
      return [...onsets, ...detector.finish()];
    };
    const whole = inBlocks(x.length);
    const sizes = [1, 7, 64, 127, 128, 129, 1000, 4096, 65536];
    for (const size of sizes) expect(inBlocks(size)).toEqual(whole);
    const rows = [[sizes.join(', '), whole.length]];
    tables.push({ title: 'Same bits for any block size', header: ['samples to a block', 'onsets, all equal'], rows });
  });

  it('runs at 100 times real time a microphone, on one core', () => {
    const x = simulateKit({ seed: 2, bars: 8, bleedDb: BLEED_DB }).microphones.snareTop;
    const run = (): number => {
      const began = cpuUsage();
      detectHits([{ drum: 'snare', kind: 'snare', source: sourceOf(x) }], RATE);
      const { user, system } = cpuUsage(began);
      return x.length / RATE / ((user + system) / 1e6);
    };
    const alone = Math.max(run(), run(), run());
    const inKit = microphoneSeconds / cpuSeconds;
    const rows = [
      ['one microphone, detection alone (best of three)', alone.toFixed(0)],
      ['six microphones with the judgement of bleed, per microphone (mean of 19 kits)', inKit.toFixed(0)],
    ];
    tables.push({
      title: 'Speed, in seconds of sound to a second of processor time',
      header: ['what', 'times real time'],
      rows,
    });
    expect(inKit).toBeGreaterThanOrEqual(100);
    expect(alone).toBeGreaterThanOrEqual(100);
  });
});
