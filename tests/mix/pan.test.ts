import { describe, expect, it } from 'vitest';
import { panGains, panMatrix } from '../../src/mix/pan.ts';
import alignment from '../vectors/alignment.json';

const dB = (gain: number) => 20 * Math.log10(gain);

describe('panGains', () => {
  it('is named by its gain at the centre, and keeps the other side silent at the ends', () => {
    for (const [law, centre] of [
      ['-3 dB', -3.0103],
      ['-4.5 dB', -4.5154],
      ['-6 dB', -6.0206],
    ] as const) {
      expect(dB(panGains(0, law)[0])).toBeCloseTo(centre, 4);
      expect(panGains(0, law)[0]).toBeCloseTo(panGains(0, law)[1], 15);
      expect(panGains(-1, law)).toEqual([1, 0]);
      expect(panGains(1, law)).toEqual([0, 1]);
    }
  });

  it('at half right is the published pair of each law', () => {
    // vectors/alignment.json: -3 dB law -8.3432 / -0.6877, -4.5 dB -10.1922 / -1.5932, -6 dB -12.0412 / -2.4988.
    expect(alignment.description).toContain('pan');
    for (const [law, left, right] of [
      ['-3 dB', -8.3432, -0.6877],
      ['-4.5 dB', -10.1922, -1.5932],
      ['-6 dB', -12.0412, -2.4988],
    ] as const) {
      const [l, r] = panGains(0.5, law);
      expect(dB(l)).toBeCloseTo(left, 4);
      expect(dB(r)).toBeCloseTo(right, 4);
    }
  });

  it('keeps the power at -3 dB and the sum at -6 dB', () => {
    for (let pan = -1; pan <= 1; pan += 0.125) {
      const [l, r] = panGains(pan, '-3 dB');
      expect(l * l + r * r).toBeCloseTo(1, 14);
      const [a, b] = panGains(pan, '-6 dB');
      expect(a + b).toBeCloseTo(1, 15);
    }
  });
});

describe('panMatrix', () => {
  it('leaves two channels at the centre and at full width exactly as they are', () => {
    for (const law of ['-3 dB', '-4.5 dB', '-6 dB'] as const) expect(panMatrix(2, 0, 100, law)).toEqual([1, 0, 0, 1]);
  });

  it('balances two channels: the near side stays', () => {
    expect(panMatrix(2, 1, 100, '-3 dB')).toEqual([0, 0, 0, 1]);
    const [ll, , , rr] = panMatrix(2, -0.5, 100, '-6 dB');
    expect(ll).toBe(1);
    expect(rr).toBeCloseTo(0.5, 15);
  });

  it('makes mono of width 0 and doubles the side at 200', () => {
    expect(panMatrix(2, 0, 0, '-3 dB')).toEqual([0.5, 0.5, 0.5, 0.5]);
    expect(panMatrix(2, 0, 200, '-3 dB')).toEqual([1.5, -0.5, -0.5, 1.5]);
  });
});

describe('pan gains and matrices', () => {
  it('refuse what no plan could ask for', () => {
    expect(() => panGains(1.01, '-3 dB')).toThrow(new RangeError('panGains: pan must be -1 to 1, got 1.01'));
    expect(() => panGains(NaN, '-3 dB')).toThrow(new RangeError('panGains: pan must be -1 to 1, got NaN'));
    const law = '-2 dB' as '-3 dB';
    const known = 'must be -3 dB or -4.5 dB or -6 dB, got "-2 dB"';
    expect(() => panGains(0, law)).toThrow(new RangeError(`panGains: law ${known}`));
    expect(() => panMatrix(2, 0, 100, law)).toThrow(new RangeError(`panMatrix: law ${known}`));
    expect(() => panMatrix(2, -2, 100, '-3 dB')).toThrow(new RangeError('panMatrix: pan must be -1 to 1, got -2'));
    expect(() => panMatrix(2, 0, 201, '-3 dB')).toThrow(
      new RangeError('panMatrix: widthPercent must be 0 to 200, got 201'),
    );
    expect(() => panMatrix(3, 0, 100, '-3 dB')).toThrow(new RangeError('panMatrix: channels must be 1 to 2, got 3'));
    expect(() => panMatrix(2, 0, '100' as unknown as number, '-3 dB')).toThrow(TypeError);
  });
});
