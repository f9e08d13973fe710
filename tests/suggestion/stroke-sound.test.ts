import { describe, expect, it } from 'vitest';
import { sourceOf } from '../../src/core/sample-source.ts';
import { strokeLevels } from '../../src/suggestion/stroke-levels.ts';
import { strokeSound } from '../../src/suggestion/stroke-sound.ts';

const RATE = 48000;
const AT = 1000;

/** A sine from sample {@link AT} on that falls by 60 dB in `decaySeconds`. */
const stroke = (frequencyHz: number, decaySeconds: number, amplitude = 1, rate = RATE): Float64Array =>
  Float64Array.from({ length: rate / 2 }, (_, n) => {
    const t = (n - AT) / rate;
    return t < 0 ? 0 : amplitude * Math.sin(2 * Math.PI * frequencyHz * t) * 10 ** ((-3 * t) / decaySeconds);
  });
const heard = { sample: AT, alone: true };

describe('the sound of a stroke', () => {
  it.each([48, 61.5, 97, 138, 205])('has its fundamental at %s Hz, within 2 Hz, at any sample rate', (frequencyHz) => {
    for (const rate of [44100, 48000, 96000]) {
      const { fundamentalHz } = strokeSound(sourceOf(stroke(frequencyHz, 0.6, 1, rate)), [heard], rate);
      expect(Math.abs(fundamentalHz - frequencyHz)).toBeLessThan(2);
    }
  });

  it('falls in 90 ms by 60 dB times 90 ms over the decay', () => {
    // The middles of the windows, weighted by the decay itself, are 15 ms and 105 ms after the arrival within 1 ms.
    for (const decaySeconds of [0.25, 0.5, 1]) {
      const { fallDb } = strokeSound(sourceOf(stroke(400, decaySeconds)), [heard], RATE);
      expect(Math.abs(fallDb - (60 * 0.09) / decaySeconds)).toBeLessThan(0.06 / decaySeconds + 0.1);
    }
    expect(strokeSound(sourceOf(stroke(400, 1)), [{ sample: AT, alone: false }], RATE).fallDb).toBeNaN();
  });

  it('has its energy where the sine is', () => {
    const shares = (frequencyHz: number) => {
      const { lowDb, bodyDb, highDb } = strokeSound(sourceOf(stroke(frequencyHz, 0.5)), [heard], RATE);
      return [lowDb, bodyDb, highDb];
    };
    for (const [frequencyHz, band] of [
      [55, 0],
      [500, 1],
      [6000, 2],
    ] as const) {
      // prettier-ignore
      shares(frequencyHz).forEach((db, b) => {
        if (b === band) expect(db).toBeGreaterThan(-0.3);
        else expect(db).toBeLessThan(-12);
      });
    }
  });

  it('lasts, by its temporal centroid, as long as an exponential does', () => {
    // Of e^(-t/T) from 0 to D: T - D e^(-D/T) / (1 - e^(-D/T)); T of the power is the decay over 6 ln 10.
    const T = 300 / (6 * Math.LN10),
      cut = Math.exp(-100 / T);
    const levels = strokeLevels(sourceOf(stroke(2000, 0.3, 0.5)), [AT], RATE);
    expect(levels.transientMs).toBeCloseTo(T - (100 * cut) / (1 - cut), 0);
    expect(levels.medianDb).toBeCloseTo(-6.05, 1);
  });
});
