import { beforeAll, describe, expect, it } from 'vitest';
import { sourceOf } from '../../src/core/sample-source.ts';
import { HitLayers } from '../../src/hits/hit-layers.ts';
import { layerHits } from '../../src/hits/layer-hits.ts';
import type { LayerOptions } from '../../src/hits/layer-parameters.ts';
import { type LayerHit, placeLayers } from '../../src/hits/place-layers.ts';
import { type SimulatedKit, simulateKit } from '../../src/simulation/simulate-kit.ts';
import { obeysProcessorLaws } from '../support/processor-laws.ts';
import { constant, firstDifference, impulse, noise, peak, sine } from '../support/signals.ts';
import { sampledLayers, trueHits } from './kit-layers.ts';
import { gainOfSum, lowPassed, mostEnergy } from './layer-position.ts';

const RATE = 48000;
const hit = (sample: number, velocity = 100, velocityDb = 0): LayerHit => ({ sample, velocity, velocityDb });
const click = (length = 100, at = 0) => impulse(length, at, 0.5);

/** A decaying sine that begins at `at`. */
const burst = (length: number, at: number, frequencyHz: number, amplitude = 1) =>
  sine(length, frequencyHz, RATE, amplitude).map((_, n, x) => (n < at ? 0 : x[n - at] * Math.exp(-(n - at) / 1500)));

describe('layering', () => {
  it('puts the blow of the sample on the hit, at the level of the hit, if nothing may be moved', () => {
    const x = new Float64Array(1000);
    const { output, placements } = layerHits(
      RATE,
      x,
      [hit(300.4, 100, -6)],
      [{ velocity: 100, samples: [click(50, 7)] }],
      {
        maximumOffsetMs: 0,
      },
    );
    expect(output.findIndex((y) => y !== 0)).toBe(300);
    expect(20 * Math.log10(output[300])).toBeCloseTo(-6, 12);
    expect(placements[0]).toMatchObject({ hitSample: 300.4, start: 293, offsetSamples: 0, polarity: 1 });
  });

  it('moves the sample to where a turned and displaced copy of it lies in the microphone, and turns it', () => {
    const sample = burst(3000, 0, 90);
    for (const [shift, sign] of [
      [37, 1],
      [-61, -1],
      [80, -1],
    ]) {
      const x = burst(6000, 2000 + shift, 90).map((v) => sign * v);
      const { placements } = layerHits(RATE, x, [hit(2000)], [{ velocity: 64, samples: [sample] }]);
      const onset = sample.findIndex((v) => Math.abs(v) >= 0.1 * peak(sample));
      expect(placements[0].polarity).toBe(sign);
      expect(Math.abs(placements[0].start - (2000 + shift))).toBeLessThanOrEqual(1);
      expect(Math.abs(placements[0].offsetSamples - (shift + onset))).toBeLessThanOrEqual(1);
    }
  });

  it('never moves it further than allowed', () => {
    const x = burst(6000, 2150, 90); // 3.1 ms late
    const { placements } = layerHits(RATE, x, [hit(2000)], [{ velocity: 64, samples: [burst(3000, 0, 90)] }]);
    expect(Math.abs(placements[0].offsetSamples)).toBeLessThanOrEqual(96);
  });

  it('takes the layer of the nearest velocity and never the same sample twice running', () => {
    const layers = [20, 100].map((velocity) => ({ velocity, samples: [1, 2, 3].map(() => click()) }));
    const hits = Array.from({ length: 200 }, (_, i) => hit(1000 * i, i % 2 ? 10 : 90));
    const { placements } = layerHits(RATE, new Float64Array(200_000), hits, layers);
    expect(placements.every(({ layer }, i) => layer === (i % 2 ? 0 : 1))).toBe(true);
    for (const layer of [0, 1]) {
      const played = placements.filter((p) => p.layer === layer).map(({ sample }) => sample);
      expect(played.filter((sample, i) => sample === played[i - 1])).toEqual([]);
      expect(new Set(played).size).toBe(3);
    }
    const again = layerHits(RATE, new Float64Array(200_000), hits, layers).placements;
    expect(again).toEqual(placements);
    expect(layerHits(RATE, new Float64Array(200_000), hits, layers, { seed: 2 }).placements).not.toEqual(placements);
  });

  it('follows the level of the hits as far as asked', () => {
    const hits = [hit(100, 100, -2), hit(5000, 100, -22)];
    const levels = (followPercent: number) =>
      layerHits(RATE, new Float64Array(9000), hits, [{ velocity: 64, samples: [click()] }], {
        followPercent,
        gainDb: -3,
      }).placements.map(({ gain }) => 20 * Math.log10(gain * 0.5));
    for (const [follow, soft] of [
      [100, -25],
      [50, -15],
      [0, -5],
    ]) {
      const [loud, quiet] = levels(follow);
      expect(loud).toBeCloseTo(-5, 10);
      expect(quiet).toBeCloseTo(soft, 10);
    }
  });

  it('chokes a sample when the next hit comes, and lets it ring otherwise', () => {
    const layers = [{ velocity: 64, samples: [constant(1, 20_000)] }];
    const run = (choke: boolean) =>
      layerHits(RATE, new Float64Array(20_000), [hit(100), hit(5100)], layers, {
        choke,
        chokeMs: 10,
        maximumOffsetMs: 0,
      }).output;
    expect(run(false)[5090]).toBe(1);
    expect(run(false)[9000]).toBe(2);
    const choked = run(true);
    expect(choked[5090]).toBe(1);
    expect(choked[5100 + 480]).toBe(1);
    expect(choked[5100 + 240]).toBeCloseTo(1.5, 2);
  });

  it('in replacement leaves only the sample under the hit, and the microphone elsewhere, without a click', () => {
    const x = constant(1, 48_000);
    const { output } = layerHits(
      RATE,
      x,
      [hit(20_000)],
      [{ velocity: 64, samples: [new Float64Array(10).fill(0.001)] }],
      {
        mode: 'replace',
        maximumOffsetMs: 0,
        duckRangeDb: 120,
        duckAttackMs: 2,
        duckHoldMs: 100,
        duckReleaseMs: 100,
        gainDb: -60,
      },
    );
    const far = output.filter((_, n) => n < 20_000 - 97 || n > 20_000 + 9600);
    expect(far.every((y) => y === 1)).toBe(true);
    expect(peak(output.subarray(20_020, 24_800))).toBeLessThan(1.1e-6);
    let step = 0;
    for (let n = 1; n < output.length; n++) step = Math.max(step, Math.abs(output[n] - output[n - 1]));
    expect(step).toBeLessThan(0.02); // a raised cosine over 97 samples: pi / (2 * 97)
  });

  it('takes the lows from the sample and the highs from the microphone', () => {
    const low = sine(48_000, 60, RATE, 0.5),
      high = sine(48_000, 4000, RATE, 0.25);
    const x = low.map((v, n) => v + high[n]);
    const top = sine(12_000, 6000, RATE, 0.5);
    const sample = sine(12_000, 60, RATE, 0.5).map((v, n) => v + top[n]);
    const { output } = layerHits(RATE, x, [hit(20_000)], [{ velocity: 64, samples: [sample] }], {
      mode: 'replace',
      lowBlendPercent: 100,
      highBlendPercent: 0,
      crossoverHz: 500,
      duckHoldMs: 200,
    });
    const amplitude = (y: Float64Array, frequencyHz: number) => {
      let re = 0,
        im = 0;
      y.forEach((v, n) => {
        re += v * Math.cos((2 * Math.PI * frequencyHz * n) / RATE);
        im += v * Math.sin((2 * Math.PI * frequencyHz * n) / RATE);
      });
      return (2 * Math.sqrt(re * re + im * im)) / y.length;
    };
    const under = output.subarray(22_000, 26_800); // whole periods of all three
    expect(amplitude(under, 4000)).toBeCloseTo(0.25, 3); // the microphone's highs
    expect(amplitude(under, 6000)).toBeLessThan(1e-4); // of the sample's highs nothing
    expect(amplitude(under, 60)).toBeCloseTo(1 * (0.5 / peak(sample)), 2); // its lows, the hit being at 0 dBFS
    expect(amplitude(output.subarray(4800, 9600), 60)).toBeCloseTo(0.5, 3); // elsewhere the microphone, all of it
  });

  it('refuses layers and options by name', () => {
    const x = new Float64Array(10);
    expect(() => layerHits(RATE, x, [], [])).toThrow(/layerHits: layers must be a list of layers/);
    expect(() => layerHits(RATE, x, [], [{ velocity: 128, samples: [click()] }])).toThrow(
      /layers\[0\]\.velocity must be 0 to 127, got 128/,
    );
    expect(() => layerHits(RATE, x, [], [{ velocity: 1, samples: [click(), new Float64Array(9)] }])).toThrow(
      /layers\[0\]\.samples\[1\] must be finite and not silent/,
    );
    expect(() => layerHits(RATE, x, [], [{ velocity: 1, samples: [click()] }], { maximumOffsetMs: 6 })).toThrow(
      'layerHits: maximumOffsetMs must be 0 to 5, got 6',
    );
  });
});

describe('a HitLayers of a plain layer', () => {
  const placed = (options: LayerOptions) =>
    placeLayers(
      RATE,
      sourceOf(noise(3000, 5)),
      [hit(-3), hit(200.5), hit(900, 20), hit(950)],
      [
        { velocity: 10, samples: [noise(700, 1), noise(300, 2)] },
        { velocity: 90, samples: [noise(1500, 3), noise(20, 4)] },
      ],
      options,
    );

  for (const options of [
    { choke: false },
    { mode: 'replace', chokeMs: 1, duckHoldMs: 3, duckReleaseMs: 2, highBlendPercent: 30 },
  ] as const) {
    obeysProcessorLaws(
      { sampleRateHz: RATE, channels: 2 },
      { create: () => new HitLayers(placed(options), 2), table: {}, lively: {}, runs: 8 },
    );
  }
});

describe('on the snare and the kick of the simulated kit', () => {
  let kit: SimulatedKit;
  beforeAll(() => {
    kit = simulateKit({ bars: 1, bleedDb: -12 });
  }, 30_000);

  it.each([
    ['kick', 'kickIn', 120],
    ['snare', 'snareTop', 300],
  ] as const)(
    '%s: every sample stands within a sample of the best sum, and no sum cancels',
    (drum, name, lowBandHz) => {
      const microphone = kit.microphones[name];
      const hits = trueHits(kit, drum, name),
        layers = sampledLayers(drum, name, 1);
      const placed = placeLayers(RATE, sourceOf(microphone), hits, layers, { lowBandHz });
      const output = new Float64Array(kit.frames);
      new HitLayers(placed).process([microphone], [output]);
      const low = lowPassed(microphone, lowBandHz, RATE),
        added = lowPassed(
          output.map((y, n) => y - microphone[n]),
          lowBandHz,
          RATE,
        );
      placed.placements.forEach((placement, p) => {
        const { layer, sample, start, offsetSamples, polarity, gain } = placement;
        const whole = layers[layer].samples[sample];
        const onset = Math.round(hits[p].sample) - (start - offsetSamples);
        const begun = lowPassed(whole.subarray(0, onset + 2400), lowBandHz, RATE).map((v) => gain * v);
        const best = mostEnergy(low, begun, start - offsetSamples, 96);
        expect(Math.abs(start - best.start)).toBeLessThanOrEqual(1);
        expect(polarity).toBe(best.polarity);
        const until = Math.min(Math.floor(hits[p].sample) + 2400, hits[p + 1]?.sample ?? kit.frames);
        const gained = gainOfSum(
          low.subarray(Math.floor(hits[p].sample) - 96, until),
          added.subarray(Math.floor(hits[p].sample) - 96, until),
        );
        expect(gained.energyDb).toBeGreaterThan(-0.5);
        expect(gained.peakDb).toBeGreaterThan(-0.5);
      });
      expect(hits.length).toBeGreaterThanOrEqual(4);
    },
  );
});

describe('the samples of a streamed recording', () => {
  it('are the bits of the whole-file form', () => {
    const x = noise(6000, 9);
    const layers = [{ velocity: 64, samples: [noise(900, 3)] }];
    const whole = layerHits(RATE, x, [hit(1000), hit(3000)], layers).output;
    const placed = placeLayers(RATE, sourceOf(x), [hit(1000), hit(3000)], layers);
    const stream = new HitLayers(placed),
      output = new Float64Array(6000);
    for (let at = 0; at < 6000; at += 64) stream.process([x], [output], { start: at, end: Math.min(6000, at + 64) });
    expect(firstDifference(whole, output)).toBe(-1);
  });
});
