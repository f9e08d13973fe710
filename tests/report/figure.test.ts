import { describe, expect, it } from 'vitest';
import { figure, NO_FIGURE, parameterText, shortNumber, signed, unitOf } from '../../src/report/figure.ts';

describe('figures', () => {
  it('are a dash for whatever is no figure', () => {
    for (const none of [NaN, Infinity, -Infinity, null, undefined]) {
      expect([figure(none, 1), signed(none, 1)]).toEqual([NO_FIGURE, NO_FIGURE]);
    }
    expect(shortNumber(NaN)).toBe(NO_FIGURE);
  });

  it('have a true minus, and none before zero', () => {
    expect([figure(-3.14159, 2), figure(-0.001, 1), signed(2, 1), signed(-2, 1), signed(0.04, 1)]).toEqual([
      '\u22123.14',
      '0.0',
      '+2.0',
      '\u22122.0',
      '0.0',
    ]);
    expect([0.3, -6, 1 / 3, 100, 20_000].map(shortNumber)).toEqual(['0.3', '\u22126', '0.3333', '100', '20000']);
  });

  it('name parameters in words with their unit', () => {
    expect(parameterText('thresholdDb', -20)).toBe('threshold \u221220 dB');
    expect(parameterText('preDelayMs', 26)).toBe('pre delay 26 ms');
    expect(parameterText('ratio', 4)).toBe('ratio 4');
    expect(parameterText('detector', 'rms')).toBe('detector rms');
    expect([parameterText('truePeak', true), parameterText('truePeak', false)]).toEqual(['true peak', 'no true peak']);
    expect([unitOf('rangeLu'), unitOf('integratedLufs'), unitOf('Db'), unitOf('q')]).toEqual(['LU', 'LUFS', '', '']);
  });
});
