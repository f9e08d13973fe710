/**
 * A parameter moved from end to end while a tone plays: gains, filters and thresholds leave less than -80 dBFS above
 * 10 kHz. `docs/proofs/clicks.md` has all parameters of all blocks.
 */
import { describe, expect, it } from 'vitest';
import { clickResidues } from './click-residue.ts';

const equaliser = (type: string, more: object = {}) => ({ type: 'equaliser', bands: [{ type, ...more }] });

describe('a move while playing', () => {
  it.each<[string, object, string, number, number]>([
    ['a gain', { type: 'gain' }, 'gainDb', -120, 60],
    ['a bell', equaliser('peaking'), 'bands[0].gainDb', -36, 36],
    ['the frequency of a bell', equaliser('peaking', { gainDb: 12 }), 'bands[0].frequencyHz', 10, 23_520],
    ['a low-pass', equaliser('lowpass'), 'bands[0].frequencyHz', 10, 23_520],
    ['the threshold of a compressor', { type: 'compressor', ratio: 4 }, 'thresholdDb', -80, 0],
    ['the make-up of a compressor', { type: 'compressor' }, 'makeupDb', -20, 40],
    ['the ceiling of a limiter', { type: 'limiter' }, 'ceilingDb', -40, 0],
    ['the threshold of an expander', { type: 'expander' }, 'thresholdDb', -80, 0],
  ])('does not click: %s', (_, block, name, low, high) => {
    for (const residue of clickResidues(block, name, low, high)) expect(residue).toBeLessThan(-80);
  });

  it('of the threshold of a gate opens it as fast as its attack says, whatever opens it', () => {
    const residue = (attackMs: number) => clickResidues({ type: 'gate', attackMs }, 'thresholdDb', -120, 0, 0.1)[1];
    expect(residue(5)).toBeLessThan(-80);
    expect(residue(0)).toBeGreaterThan(-60); // a step: so a click is seen
  });
});
