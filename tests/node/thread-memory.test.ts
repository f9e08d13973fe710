import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { hitListOf } from '../../src/hits/hit-list.ts';
import { parsePlan } from '../../src/mix/parse-plan.ts';
import { hearersOf, runningOrder } from '../../src/mix/plan-strips.ts';
import { type MixReport, prepareMix } from '../../src/mix/renderer.ts';
import { sharedChunks, ThreadMemory } from '../../src/node/thread-memory.ts';
import { mix, RATE, recording } from '../mix/mix-support.ts';
import { firstDifference, impulse, noise } from '../support/signals.ts';

/** Everything that can cross the border between threads: keys, sends, buses in buses, automation, hits, a reverberation. */
const json = {
  inputs: { kick: { file: 'kick.wav' }, snare: { file: 'snare.wav' }, room: { file: 'room.wav' } },
  hits: {
    file: 'hits.json',
    drums: {
      snare: {
        microphone: 'snare',
        kind: 'snare',
        layer: { samples: [{ velocity: 100, files: ['click.wav'] }], maximumOffsetMs: 0 },
      },
    },
  },
  channels: {
    kick: {
      input: 'kick',
      output: 'close',
      chain: [{ type: 'gate', thresholdDb: -30, lookaheadMs: 2 }],
      sends: [{ to: 'space', gainDb: -6, highpassHz: 200 }],
    },
    snare: {
      input: 'snare',
      output: 'close',
      pan: 0.3,
      chain: [{ type: 'gate', key: { hits: 'snare', decayMs: 50 }, rangeDb: 40 }],
      sends: [{ to: 'space', gainDb: -3, tap: 'preFader' }],
    },
    room: {
      input: 'room',
      chain: [
        { type: 'compressor', thresholdDb: -30, ratio: 6, key: 'kick' },
        { type: 'hardClipper', driveDb: 3, oversampling: 4 },
      ],
    },
  },
  buses: {
    close: { chain: [{ type: 'compressor', thresholdDb: -20, ratio: 4, key: 'room' }], sends: [{ to: 'space' }] },
    space: { chain: [{ type: 'schroederReverb', decaySeconds: 0.1 }], gainDb: -4 },
  },
  mixBus: { chain: [{ type: 'limiter', ceilingDb: -3 }] },
  automation: [
    { target: 'channels.kick.gainDb', sample: 700, value: -9 },
    { target: 'channels.snare.sends[0].gainDb', sample: 1500, value: 3 },
    { target: 'channels.room.chain[0].thresholdDb', sample: 1111, value: -18 },
    { target: 'buses.space.widthPercent', sample: 2000, value: 20 },
    { target: 'mixBus.gainDb', sample: 2500, value: 2 },
  ],
};
const inputs = {
  kick: recording(noise(6000, 1, 0.6)),
  snare: recording(noise(6000, 2, 0.3)),
  room: recording(noise(6000, 3, 0.2).map((x, i) => (i === 300 ? NaN : x))),
};
const hit = (sample: number) =>
  ({ drum: 'snare', sample, velocityDb: -6, velocity: 100, confidence: 1, source: 'imported' }) as const;
const options = {
  chunkFrames: 500,
  alignment: { moves: { kick: { delaySamples: -3.4, polarity: -1 as const } }, leadSamples: 51, pairs: [] },
  hits: { list: hitListOf(RATE, [hit(1000), hit(4000)]), samples: { 'click.wav': impulse(200, 0, 0.5) } },
};
const plan = parsePlan({ version: 1, output: { file: 'mix.wav' }, ...json });

/** Renders in as many parts as `owners` names, in turns, each with its own mixer, over the memory that threads share. */
function rendered(owners: ReadonlyMap<string, number>): { left: Float64Array; right: Float64Array; report: MixReport } {
  const chunks = sharedChunks(plan, owners, options.chunkFrames);
  const parts: [Float64Array, Float64Array][] = [];
  const { hits: found } = prepareMix(plan, inputs, options);
  const runs = Array.from({ length: chunks.threads }, (_, thread) => {
    const share = new ThreadMemory(chunks, thread);
    const prepared = prepareMix(
      plan,
      inputs,
      thread < chunks.threads - 1 ? { ...options, found, share } : { ...options, share },
    );
    const run = prepared.start({
      write: ([left, right], start, end) => {
        if (share.runs('mixBus')) parts.push([left.slice(start, end), right.slice(start, end)]);
      },
    });
    return { share, prepared, run };
  });
  const { prepared, run: last } = runs[runs.length - 1];
  for (let chunk = 0; chunk < last.chunks; chunk++) {
    for (const { share, run } of runs) {
      expect(share.wait(0)).toBe(true);
      run.step();
      share.advance();
    }
  }
  const joined = (side: 0 | 1) => Float64Array.from(parts.flatMap((part) => [...part[side]]));
  const elsewhere = runs.slice(0, -1).map(({ run }) => run.figures);
  return { left: joined(0), right: joined(1), report: prepared.report(last, elsewhere) };
}

describe('a mix in shares', () => {
  const whole = mix(json, inputs, options);

  it('hears everything that the plan connects', () => {
    expect(whole.report.strips['buses.space'].peakDb).toBeGreaterThan(-40);
    expect(whole.report.lowEnd.relativeDb['buses.space']).not.toBeNull();
    expect(whole.report.nonFiniteInputs).toBe(1);
  });

  it('has the bits and the report of one thread, however the strips are shared', () => {
    const order = runningOrder(plan);
    fc.assert(
      fc.property(fc.array(fc.nat(2), { minLength: order.length, maxLength: order.length }), (drawn) => {
        // Any assignment becomes a legal one when nobody comes before what it hears.
        const owners = new Map<string, number>();
        order.forEach((path, i) => {
          const heard = order.filter((other) => hearersOf(plan, other).includes(path));
          owners.set(path, Math.max(drawn[i], ...heard.map((other) => owners.get(other) as number)));
        });
        owners.set('mixBus', Math.max(...owners.values()));
        const { left, right, report } = rendered(owners);
        expect(firstDifference(left, whole.left)).toBe(-1);
        expect(firstDifference(right, whole.right)).toBe(-1);
        expect(JSON.stringify(report)).toBe(JSON.stringify(whole.report));
      }),
      { numRuns: 8 },
    );
  });
});

describe('ThreadMemory', () => {
  const owners = new Map(runningOrder(plan).map((path) => [path, path === 'mixBus' ? 1 : 0]));

  it('lets a thread be eight chunks ahead of the next, and none behind', () => {
    const chunks = sharedChunks(plan, owners, 64);
    const [first, second] = [0, 1].map((thread) => new ThreadMemory(chunks, thread));
    expect(second.wait(0)).toBe(false);
    let ahead = 0;
    while (first.wait(0)) {
      first.advance();
      ahead++;
    }
    expect(ahead).toBe(8);
    expect(second.wait(0)).toBe(true);
    second.advance();
    expect(first.wait(0)).toBe(true);
  });

  it('holds what the first thread has made until the second has taken it', () => {
    const chunks = sharedChunks(plan, owners, 64);
    const [first, second] = [0, 1].map((thread) => new ThreadMemory(chunks, thread));
    const into = [new Float64Array(64), new Float64Array(64)];
    for (let chunk = 0; chunk < 8; chunk++) {
      first.give('buses.close', [new Float64Array(64).fill(chunk), new Float64Array(64).fill(-chunk)]);
      first.advance();
    }
    for (let chunk = 0; chunk < 8; chunk++) {
      second.take('buses.close', into);
      expect(into.map((x) => x[63])).toEqual([chunk, -chunk]);
      second.advance();
    }
  });

  it('takes memory for what crosses over and nothing else, whatever the length of the mix', () => {
    const { memory, shared } = sharedChunks(plan, owners, 64);
    expect(shared).toEqual(['channels.room', 'buses.close', 'buses.space']);
    expect(memory.byteLength).toBe(8 * (2 + 3 * 2 * 8 * 64));
  });
});
