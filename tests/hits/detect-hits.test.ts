import { beforeAll, describe, expect, it } from 'vitest';
import { sourceOf } from '../../src/core/sample-source.ts';
import { detectHits, type DrumMicrophone } from '../../src/hits/detect-hits.ts';
import { type HitList, parseHitList } from '../../src/hits/hit-list.ts';
import { keyBandOf } from '../../src/hits/key-bands.ts';
import { OnsetDetector } from '../../src/hits/onset-detector.ts';
import { scoreHits } from '../../src/hits/score-hits.ts';
import { type SimulatedKit, simulateKit } from '../../src/simulation/simulate-kit.ts';
import { bursts } from './hits-support.ts';
import { closeMicrophones, ghostly, truthOf } from './kit-hits.ts';

describe('hits of two bars with fills and ghost notes, bleed at -12 dB', () => {
  let kit: SimulatedKit;
  let found: HitList;

  beforeAll(() => {
    kit = simulateKit({ strokes: ghostly(101, 4).filter(({ seconds }) => seconds > 4.2), seed: 101, bleedDb: -12 });
    found = detectHits(closeMicrophones(kit), kit.sampleRateHz);
  }, 60_000);

  it('are found, drum by drum, within 10 ms and mostly within 0.2', () => {
    for (const drum of ['kick', 'snare', 'tom1', 'tom2'] as const) {
      const score = scoreHits(
        truthOf(kit, drum),
        { ...found, hits: found.hits.filter((hit) => hit.drum === drum) },
        10,
      );
      expect(score.truePositives + score.falseNegatives, drum).toBeGreaterThan(0);
      expect(score.fMeasure, drum).toBeGreaterThanOrEqual(0.95);
      expect(score.medianErrorMs, drum).toBeLessThan(0.2);
    }
  });

  it('keep what was rejected, each with a reason that names the drum and what its microphone hears', () => {
    expect(found.rejected.length).toBeGreaterThan(20);
    const sentence = /^bleed of \w+, whose microphone hears it -?\d+\.\d dB louder( and \d+\.\d ms (sooner|later))?$/;
    const bleed = found.rejected.filter(({ reason }) => sentence.test(reason));
    expect(bleed.length).toBeGreaterThan(50);
    const soft = /^\d+\.\d dB below the softest hit of this drum$|^this drum is not played|^doubtful: /;
    expect(found.rejected.filter(({ reason }) => !sentence.test(reason) && !soft.test(reason))).toEqual([]);
    const inTom = bleed.filter(({ drum, reason }) => drum === 'tom1' && reason.includes('of snare'));
    expect(inTom.length).toBeGreaterThan(2);
    expect(inTom.filter(({ reason }) => reason.includes('sooner')).length).toBe(inTom.length);
  });

  it('are a valid list, with confidences on the side of what was decided', () => {
    expect(parseHitList(JSON.parse(JSON.stringify(found)))).toEqual(found);
    const mean = (list: readonly { confidence: number }[]) =>
      list.reduce((sum, { confidence }) => sum + confidence, 0) / list.length;
    expect(mean(found.hits)).toBeGreaterThan(0.85);
    expect(mean(found.rejected)).toBeLessThan(0.3);
  });

  it('grow with the force of the stroke: velocity in dB follows the truth within 3 dB', () => {
    const truth = truthOf(kit, 'snare').hits;
    const pairs = found.hits
      .filter(({ drum }) => drum === 'snare')
      .flatMap((hit) =>
        truth.filter(({ sample }) => Math.abs(sample - hit.sample) < 48).map((real) => ({ hit, real })),
      );
    const offsets = pairs.map(({ hit, real }) => hit.velocityDb - real.velocityDb).sort((a, b) => a - b);
    expect(offsets.length).toBeGreaterThan(5);
    expect(offsets[offsets.length - 1] - offsets[0]).toBeLessThan(6);
  });

  it('do not depend on the gains of the microphones', () => {
    const turned = closeMicrophones(kit).map((microphone, m) => {
      const gain = [0.1, 3, 1, 0.5, 2, 1][m];
      const { frames, read } = microphone.source;
      const source = {
        frames,
        read(start: number, into: Float64Array): void {
          read(start, into);
          for (let i = 0; i < into.length; i++) into[i] *= gain;
        },
      };
      return { ...microphone, source };
    });
    const places = ({ hits }: HitList) => hits.map(({ drum, sample }) => `${drum} ${Math.round(sample / 48)}`);
    const differing = places(detectHits(turned, kit.sampleRateHz)).filter((place) => !places(found).includes(place));
    expect(differing.length).toBeLessThanOrEqual(1);
  });

  it('begin where they arrive, although another drum has been struck some milliseconds before', () => {
    const apart = [0.002, 0.004, 0.006, 0.008];
    const strokes = apart.flatMap((gap, i) => [
      { drum: 'kick' as const, seconds: 0.5 + 2 * i, velocity: 0.9 },
      { drum: 'snare' as const, seconds: 1 + 2 * i, velocity: 0.9 },
      { drum: 'kick' as const, seconds: 1.5 + 2 * i, velocity: 0.9 },
      { drum: 'snare' as const, seconds: 1.5 + 2 * i + gap, velocity: 0.9 },
    ]);
    const flams = simulateKit({ strokes, bleedDb: -12, tailSeconds: 0.5 });
    const { hits } = detectHits(closeMicrophones(flams), 48000);
    for (const drum of ['kick', 'snare'] as const) {
      const errors = hits
        .filter((hit) => hit.drum === drum)
        .map(({ sample }, i) => (sample - truthOf(flams, drum).hits[i].sample) / 48);
      expect(errors, drum).toHaveLength(8);
      expect(Math.max(...errors.map(Math.abs)), drum).toBeLessThan(0.5); // ms
    }
  });

  it('begin with their first rise, however they grow, where no other drum has been struck before', () => {
    const growing = [24000, 72000].flatMap((sample) => [
      { sample, gain: 0.15 },
      { sample: sample + 240, gain: 0.5 },
    ]);
    const microphones: DrumMicrophone[] = [
      { drum: 'snare', kind: 'snare', source: sourceOf(bursts(144000, 48000, growing)) },
      { drum: 'kick', kind: 'kick', source: sourceOf(bursts(144000, 48000, [{ sample: 48000, gain: 0.5 }])) },
    ];
    const snare = detectHits(microphones, 48000).hits.filter(({ drum }) => drum === 'snare');
    expect(snare.map(({ sample }) => Math.round(sample / 48))).toEqual([500, 1500]); // ms
  });

  it('are all there where a soft stroke of a drum and a loud one follow another drum at once', () => {
    const main = [24000, 72000, 120000, 168000]; // each 4 ms behind the kick
    const snare = bursts(
      216000,
      48000,
      main.flatMap((sample) => [
        { sample, gain: 0.15 },
        { sample: sample + 480, gain: 0.6 },
        { sample: sample + 24000, gain: 0.5 },
      ]),
    );
    const kick = bursts(
      216000,
      48000,
      main.map((sample) => ({ sample: sample - 192, gain: 0.5 })),
    );
    const microphones: DrumMicrophone[] = [
      { drum: 'snare', kind: 'snare', source: sourceOf(snare) },
      { drum: 'kick', kind: 'kick', source: sourceOf(kick) },
    ];
    const { hits } = detectHits(microphones, 48000, { minimumDistanceMs: 5 });
    const found = hits.filter(({ drum }) => drum === 'snare').map(({ sample }) => Math.round(sample / 48));
    expect(found).toEqual(main.flatMap((sample) => [sample, sample + 480, sample + 24000].map((n) => n / 48)));
  });

  it('hear nothing of a drum that nobody plays', () => {
    const strokes = [0.5, 1, 1.5, 2].map((seconds) => ({ drum: 'kick' as const, seconds, velocity: 0.9 }));
    const alone = simulateKit({ strokes, bleedDb: -12, tailSeconds: 0.5 });
    const { hits, rejected } = detectHits(closeMicrophones(alone), 48000);
    expect(hits.map(({ drum }) => drum)).toEqual(['kick', 'kick', 'kick', 'kick']);
    const unplayed = 'this drum is not played: its microphone hears nothing loud first';
    expect(rejected.filter(({ drum, reason }) => drum === 'tom2' && reason === unplayed)).toHaveLength(4);
  }, 60_000);
});

describe('detectHits', () => {
  const x = bursts(48000, 48000, [
    { sample: 9600, gain: 0.5 },
    { sample: 24000, gain: 0.1 },
  ]);
  const alone = (changes: Partial<DrumMicrophone> = {}): DrumMicrophone[] => [
    { drum: 'snare', kind: 'snare', source: sourceOf(x), ...changes },
  ];

  it('with one microphone is the onset detector on its key band', () => {
    const { lowHz, highHz } = keyBandOf('snare');
    const detector = new OnsetDetector(48000, { lowHz, highHz });
    const onsets = [...detector.process(x), ...detector.finish()];
    const { hits, rejected } = detectHits(alone(), 48000);
    expect(hits.map(({ sample, velocityDb }) => ({ sample, velocityDb }))).toEqual(
      onsets.map(({ sample, velocityDb }) => ({ sample, velocityDb })),
    );
    expect(hits).toHaveLength(2);
    expect(rejected).toEqual([]);
  });

  it('takes another key band and curve', () => {
    const narrow = detectHits(alone({ keyBand: { highHz: 1000 } }), 48000).hits[0];
    const wide = detectHits(alone(), 48000, { loudestDb: 6 }).hits[0];
    expect(narrow.velocityDb).toBeLessThan(wide.velocityDb - 3);
    expect(wide.velocity).toBeLessThan(detectHits(alone(), 48000).hits[0].velocity);
  });

  it('finds nothing in silent or empty microphones, at any rate', () => {
    for (const frames of [0, 1, 48000]) {
      for (const rate of [8000, 48000, 192000]) {
        const silent = ['kick', 'hat'] as const;
        const microphones = silent.map((kind) => ({ drum: kind, kind, source: sourceOf(new Float64Array(frames)) }));
        expect(detectHits(microphones, rate)).toMatchObject({ hits: [], rejected: [] });
      }
    }
  });

  it('refuses what it cannot do', () => {
    expect(() => detectHits([], 48000)).toThrow('detectHits: number of microphones must be 1 to 64, got 0');
    expect(() => detectHits([...alone(), ...alone()], 48000)).toThrow(
      'detectHits: microphones[1].drum must have one microphone, got a second for snare',
    );
    expect(() => detectHits(alone({ kind: 'tom' as 'kick' }), 48000)).toThrow('the nearest name is rackTom');
    expect(() => detectHits(alone(), 48000, { riseDb: 50 })).toThrow('detectHits: riseDb must be 0.5 to 20, got 50');
    expect(() => detectHits(alone(), 100)).toThrow(RangeError);
  });
});
