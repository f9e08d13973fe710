import { describe, expect, it } from 'vitest';
import { thirdOctaveBands } from '../../src/core/third-octaves.ts';

describe('third-octave bands', () => {
  it('have the exact middles of IEC 61260-1, and their nominal names (ISO 266) within 2 %', () => {
    const nominal = [
      100, 125, 160, 200, 250, 315, 400, 500, 630, 800, 1000, 1250, 1600, 2000, 2500, 3150, 4000, 5000, 6300, 8000,
      10_000, 12_500, 16_000, 20_000,
    ];
    const bands = thirdOctaveBands(100, 20_000);
    expect(bands).toHaveLength(nominal.length);
    bands.forEach(({ frequencyHz }, b) => expect(Math.abs(frequencyHz / nominal[b] - 1)).toBeLessThan(0.02));
    expect(bands[2].frequencyHz).toBeCloseTo(158.489, 3);
    expect(bands[5].frequencyHz).toBeCloseTo(316.228, 3);
    expect(bands[10].frequencyHz).toBe(1000);
  });

  it('meet at their edges, ten to a decade', () => {
    const bands = thirdOctaveBands(25, 20_000);
    for (let b = 1; b < bands.length; b++) expect(bands[b].fromHz).toBe(bands[b - 1].toHz);
    expect(bands[10].toHz / bands[0].toHz).toBeCloseTo(10, 12);
    expect(bands[0].toHz / bands[0].fromHz).toBeCloseTo(10 ** 0.1, 12);
  });

  it('count a middle at either end as in between', () => {
    const band = thirdOctaveBands(1000, 1000);
    expect(band).toHaveLength(1);
    const [{ fromHz, toHz }] = band;
    expect(thirdOctaveBands(100, 10_000).map(({ frequencyHz }) => Math.round(frequencyHz))).toEqual([
      100, 126, 158, 200, 251, 316, 398, 501, 631, 794, 1000, 1259, 1585, 1995, 2512, 3162, 3981, 5012, 6310, 7943,
      10_000,
    ]);
    expect([fromHz, toHz].map((hz) => hz.toFixed(2))).toEqual(['891.25', '1122.02']); // 10^2.95 and 10^3.05
  });

  it('are none where no middle lies in between', () => {
    expect(thirdOctaveBands(101, 120)).toEqual([]);
  });
});
