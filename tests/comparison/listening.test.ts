import { describe, expect, it } from 'vitest';
import { blindTest, type BlindTestKind, scoreBlindTest } from '../../src/comparison/blind-test.ts';
import { excerptOf, levelMatch } from '../../src/comparison/excerpts.ts';
import { recordingOf } from '../../src/comparison/recording.ts';
import { measureLoudness } from '../../src/meters/loudness.ts';
import { noise } from '../support/signals.ts';

describe('blind test', () => {
  const score = (kind: 'pair' | 'triple', correct: number, trials: number) => {
    const test = blindTest(kind, trials, 7);
    const places = kind === 'pair' ? 2 : 3;
    return scoreBlindTest(
      test,
      test.trials.map(({ answer }, i) => (i < correct ? answer : (answer + 1) % places)),
    );
  };

  it('draws the same order from the same seed, and every order from many', () => {
    expect(blindTest('triple', 40, 3)).toEqual(blindTest('triple', 40, 3));
    const orders = new Set(blindTest('triple', 400, 3).trials.map(({ order }) => order.join('')));
    expect([...orders].sort()).toEqual(['aab', 'aba', 'abb', 'baa', 'bab', 'bba']);
    expect(new Set(blindTest('pair', 100, 3).trials.map(({ order }) => order.join('')))).toEqual(new Set(['ab', 'ba']));
  });

  it('marks the place of A in a pair, and of the odd one in a triple', () => {
    for (const { order, answer } of blindTest('pair', 50, 1).trials) expect(order[answer]).toBe('a');
    for (const { order, answer } of blindTest('triple', 50, 1).trials) {
      expect(order.filter((sound) => sound === order[answer])).toHaveLength(1);
    }
  });

  it('needs the least number of right answers that the standards tabulate at 5 %', () => {
    // ISO 4120, triangle test: 24 assessors need 13, 12 need 8; ISO 5495, one-sided: 24 need 17, 12 need 10 (from memory;
    // each agrees with the binomial distribution of scipy 1.10.1, binom.sf(k - 1, n, g)).
    expect(score('triple', 13, 24).guessingProbability).toBeCloseTo(0.028441, 5);
    expect(score('triple', 12, 24).guessingProbability).toBeGreaterThan(0.05);
    expect(score('triple', 8, 12).guessingProbability).toBeLessThan(0.05);
    expect(score('triple', 7, 12).guessingProbability).toBeGreaterThan(0.05);
    expect(score('pair', 17, 24).guessingProbability).toBeCloseTo(0.0319573, 6);
    expect(score('pair', 16, 24).guessingProbability).toBeGreaterThan(0.05);
    expect(score('pair', 10, 12).guessingProbability).toBeCloseTo(79 / 4096, 12);
  });

  it('gives the interval of Clopper and Pearson', () => {
    // scipy 1.10.1, binomtest(17, 24).proportion_ci(method='exact'): 0.4891, 0.8738.
    const { interval } = score('pair', 17, 24);
    expect(interval[0]).toBeCloseTo(0.489052, 5);
    expect(interval[1]).toBeCloseTo(0.873846, 5);
    expect(score('pair', 10, 10).interval[0]).toBeCloseTo(0.025 ** (1 / 10), 9); // closed form for all right
    expect(score('pair', 10, 10).interval[1]).toBe(1);
    expect(score('pair', 0, 1000).guessingProbability).toBe(1);
  });

  it('refuses answers that do not fit', () => {
    const test = blindTest('pair', 3, 0);
    expect(() => scoreBlindTest(test, [0, 1])).toThrow('answers must be 3, one for each trial, got 2');
    expect(() => scoreBlindTest(test, [0, 1, 2])).toThrow('answers[2] must be 0 to 1, got 2');
    expect(() => blindTest('pair', 0, 0)).toThrow(RangeError);
  });

  it('refuses a kind that there is not', () => {
    const kind = 'quad' as BlindTestKind;
    expect(() => blindTest(kind, 2, 1)).toThrow(
      new TypeError('blindTest: kind must be one of pair or triple, got "quad"; the nearest name is pair'),
    );
    expect(() => scoreBlindTest({ ...blindTest('pair', 1, 0), kind }, [0])).toThrow(
      new TypeError('scoreBlindTest: test.kind must be one of pair or triple, got "quad"; the nearest name is pair'),
    );
  });
});

describe('excerpts', () => {
  const rate = 48000;
  const loudPart = noise(rate * 30, 5).map((v, i) => v * (i > rate * 12 && i < rate * 20 ? 0.5 : 0.02));
  const recording = recordingOf(rate, [loudPart, loudPart]);

  it('are equally loud, whatever they are cut from', () => {
    const quietPart = loudPart.map((v) => v / 10);
    const quieter = recordingOf(rate, [quietPart, quietPart]);
    for (const one of [recording, quieter]) {
      const { channels } = excerptOf(one, { seconds: 5 });
      expect(measureLoudness(channels, rate)).toBeCloseTo(-23, 1);
    }
    expect(levelMatch(quieter, -23) - levelMatch(recording, -23)).toBeCloseTo(20, 9);
  });

  it('begin at the rise of the loudest part, and fade in and out', () => {
    const { startSample, channels } = excerptOf(recording, { seconds: 8 });
    expect(Math.abs(startSample / rate - 12)).toBeLessThan(0.02);
    expect(channels[0]).toHaveLength(8 * rate);
    expect(Math.abs(channels[0][0])).toBeLessThan(1e-3);
    expect(Math.abs(channels[0].at(-1))).toBeLessThan(1e-3);
  });

  it('fade in for as long as they are asked to, ahead of the hit, and are as loud as ever', () => {
    const { startSample, channels } = excerptOf(recording, { seconds: 8, fadeInSeconds: 1 });
    expect(Math.abs(startSample / rate - 11.05)).toBeLessThan(0.02);
    expect(measureLoudness(channels, rate)).toBeCloseTo(-23, 6);
    const sudden = excerptOf(recording, { startSample: 13 * rate, seconds: 5, fadeInSeconds: 0 });
    const gradual = excerptOf(recording, { startSample: 13 * rate, seconds: 5, fadeInSeconds: 2 });
    const ratio = (seconds: number) => gradual.channels[0][seconds * rate] / sudden.channels[0][seconds * rate];
    expect(ratio(1) / ratio(3)).toBeCloseTo(0.5, 3); // half a cosine is half up in the middle
    expect(ratio(0) / ratio(3)).toBeLessThan(1e-6);
  });

  it('take samples that are no numbers for silence', () => {
    const holed = loudPart.slice();
    holed.fill(NaN, 13 * rate, 13 * rate + 100);
    const { channels } = excerptOf(recordingOf(rate, [holed]), { startSample: 12 * rate, seconds: 3 });
    expect(channels[0].every(Number.isFinite)).toBe(true);
  });

  it('begin where they are asked to, so that before and after are the same moment', () => {
    const { startSample } = excerptOf(recording, { startSample: 700_000, seconds: 2 });
    expect(startSample).toBe(700_000);
    expect(() => excerptOf(recording, { startSample: 30 * rate, seconds: 2 })).toThrow(
      'excerptOf: startSample must be 0',
    );
    expect(() => excerptOf(recording, { startSample: 100.5, seconds: 2 })).toThrow(
      'excerptOf: startSample must be a whole number from 0 to 1344000, got 100.5',
    );
    expect(() => levelMatch(recordingOf(rate, [new Float64Array(rate)]), -23)).toThrow('must have sound');
  });

  it('match any loudness that a meter can read, and none besides', () => {
    const short = recordingOf(rate, [loudPart.slice(12 * rate, 14 * rate)]);
    expect(levelMatch(short, 3) - levelMatch(short, -65)).toBeCloseTo(68, 9);
    for (const wrong of [NaN, -70.5, 31]) {
      expect(() => levelMatch(short, wrong)).toThrow(
        new RangeError(`levelMatch: loudnessLufs must be -70 to 30, got ${wrong}`),
      );
    }
    expect(() => levelMatch(short, '-23' as unknown as number)).toThrow(TypeError);
  });
});
