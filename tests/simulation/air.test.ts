import { describe, expect, it } from 'vitest';
import { AIR_REACH, AirFilter, airLossDbPerMetre, speedOfSound } from '../../src/simulation/air.ts';
import vectors from '../vectors/alignment.json' with { type: 'json' };
import { toDb, transformAt } from './measure.ts';

describe('speed of sound', () => {
  it('equals the table of 331.3 sqrt(1 + T / 273.15) to its four decimals', () => {
    const worst = vectors.speed.map(({ T, c_331p3 }) => Math.abs(speedOfSound(T) - c_331p3));
    expect(worst.length).toBeGreaterThan(5);
    expect(Math.max(...worst)).toBeLessThanOrEqual(5.1e-5);
  });
});

describe('air loss', () => {
  // ISO 9613-2:1996, Table 2 (values from memory): dB per km in octave bands, computed there from ISO 9613-1.
  const octavesHz = [63, 125, 250, 500, 1000, 2000, 4000, 8000];
  const table = [
    { temperatureC: 10, humidityPercent: 70, dbPerKm: [0.1, 0.4, 1.0, 1.9, 3.7, 9.7, 32.8, 117] },
    { temperatureC: 20, humidityPercent: 70, dbPerKm: [0.1, 0.3, 1.1, 2.8, 5.0, 9.0, 22.9, 76.6] },
    { temperatureC: 30, humidityPercent: 70, dbPerKm: [0.1, 0.3, 1.0, 3.1, 7.4, 12.7, 23.1, 59.3] },
    { temperatureC: 15, humidityPercent: 20, dbPerKm: [0.3, 0.6, 1.2, 2.7, 8.2, 28.2, 88.8, 202] },
    { temperatureC: 15, humidityPercent: 50, dbPerKm: [0.1, 0.5, 1.2, 2.2, 4.2, 10.8, 36.2, 129] },
    { temperatureC: 15, humidityPercent: 80, dbPerKm: [0.1, 0.3, 1.1, 2.4, 4.1, 8.3, 23.7, 82.8] },
  ];

  it.each(table)('at $temperatureC C and $humidityPercent % is that of ISO 9613-2 Table 2', (row) => {
    octavesHz.forEach((nominalHz, i) => {
      // exact mid-band frequencies, IEC 61260: 1000 x 10^(3 k / 10)
      const exactHz = 1000 * 10 ** (0.3 * Math.round(Math.log2(nominalHz / 1000)));
      const dbPerKm = 1000 * airLossDbPerMetre(exactHz, row);
      // half a unit of the last printed digit (one decimal below 100, none above) and a tenth of it: 4.151 is printed as 4.1
      expect(Math.abs(dbPerKm - row.dbPerKm[i]), `${nominalHz} Hz: ${dbPerKm}`).toBeLessThanOrEqual(
        row.dbPerKm[i] < 100 ? 0.055 : 0.55,
      );
    });
  });

  it.each([44100, 48000, 96000, 192000])(
    'filters within 0.1 dB of the loss over 25 m up to 20 kHz at %d Hz',
    (sampleRateHz) => {
      const air = { temperatureC: 20, humidityPercent: 50 };
      const filter = new AirFilter(sampleRateHz, air);
      let worst = 0;
      for (const metres of [0.05, 0.5, 2, 8, 25]) {
        const taps = filter.taps(metres);
        for (let hz = 20; hz <= 20000 && hz <= (20 / 48) * sampleRateHz; hz += 333) {
          const { re, im } = transformAt(taps, hz / sampleRateHz, AIR_REACH);
          worst = Math.max(worst, Math.abs(toDb(Math.hypot(re, im)) + metres * airLossDbPerMetre(hz, air)));
          worst = Math.max(worst, Math.abs(im) * 1e6); // symmetric: no delay, no phase
        }
      }
      expect(worst).toBeLessThan(0.1); // 33 taps cannot follow the bend of nitrogen near 300 Hz
    },
  );
});
