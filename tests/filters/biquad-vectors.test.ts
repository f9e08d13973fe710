/**
 * 102 filters computed by scipy 1.10.1 on another path (analog prototype, lp2lp, bilinear, freqz). Coefficients are
 * stored with 15 significant digits, of which the largest, 6.97, keeps 5e-15; levels and phases with 10 digits.
 */
import { describe, expect, it } from 'vitest';
import { frequencyResponse } from '../../src/filters/response.ts';
import { designOf } from '../support/cookbook-case.ts';
import vectors from '../vectors/biquads.json' with { type: 'json' };

const worst = (errors: number[]): number => errors.reduce((max, error) => Math.max(max, error), 0);
const turn = 2 * Math.PI;
const phaseDistance = (a: number, b: number): number => Math.abs(a - b - turn * Math.round((a - b) / turn));

describe('the 102 cookbook filters', () => {
  const responses = vectors.cases.map((wanted) =>
    frequencyResponse([designOf(wanted)], {
      sampleRateHz: wanted.fs,
      frequenciesHz: wanted.response.map((point) => point.f),
    }),
  );

  it('have coefficients within 1e-12', () => {
    expect(vectors.cases).toHaveLength(102);
    const errors = vectors.cases.map((wanted) => {
      const { b0, b1, b2, a1, a2 } = designOf(wanted);
      const expected = [...wanted.b, ...wanted.a.slice(1)];
      return worst([b0, b1, b2, a1, a2].map((value, i) => Math.abs(value - expected[i])));
    });
    expect(worst(errors)).toBeLessThan(1e-12);
  });

  it('have levels within 1e-6 dB, and below -140 dB where the table stops', () => {
    let compared = 0;
    let difference = 0;
    let loudestNull = -Infinity;
    vectors.cases.forEach((wanted, c) => {
      wanted.response.forEach(({ mag_dB }, i) => {
        const level = responses[c].magnitudeDb[i];
        if (mag_dB === null) loudestNull = Math.max(loudestNull, level);
        else difference = Math.max(difference, Math.abs(level - mag_dB));
        compared++;
      });
    });
    expect(compared).toBe(612);
    expect(difference).toBeLessThan(1e-6);
    expect(loudestNull).toBeLessThan(-140);
  });

  it('have phases within 1e-6 rad', () => {
    const errors = vectors.cases.flatMap((wanted, c) =>
      wanted.response.map(({ phase_rad }, i) =>
        phase_rad === null ? 0 : phaseDistance(responses[c].phaseRadians[i], phase_rad),
      ),
    );
    expect(worst(errors)).toBeLessThan(1e-6);
  });
});
