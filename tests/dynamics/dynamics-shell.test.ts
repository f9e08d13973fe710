import { describe, expect, it } from 'vitest';
import { Gain } from '../../src/core/gain.ts';
import { Compressor } from '../../src/dynamics/compressor.ts';
import { applyGain, type DynamicsParts, DynamicsShell } from '../../src/dynamics/dynamics-shell.ts';
import { render64 } from '../support/processor-laws.ts';
import { constant, noise } from '../support/signals.ts';
import { levels } from './dynamics-support.ts';

const mono = { sampleRateHz: 48000, channels: 1 };
const stereo = { sampleRateHz: 48000, channels: 2 };
const table = {
  lookaheadMs: { default: 0, min: 0, max: 50, fixed: true },
  linkPercent: { default: 100, min: 0, max: 100 },
} as const;

/** A block of gain 1 that remembers the last level of each row, and writes down how it was asked. */
class Probe extends DynamicsShell<typeof table> {
  piecesAtOnce = 0;
  piecesInSteps = 0;
  keyed: boolean | undefined;

  constructor(
    format = stereo,
    options: { lookaheadMs?: number; linkPercent?: number } = {},
    parts: DynamicsParts = {},
  ) {
    super('Probe', table, format, options, parts, 1);
    this.begin();
  }

  protected override design(p: { readonly linkPercent: number }): readonly number[] {
    return [p.linkPercent / 100];
  }

  protected override atOnce(): boolean {
    this.piecesAtOnce++;
    return true;
  }

  protected override hearInput(_x: unknown, _rows: unknown, _count: number, keyed: boolean): void {
    this.keyed = keyed;
  }

  protected override gains(rows: readonly Float64Array[], count: number): void {
    this.piecesInSteps++;
    rows.forEach((row, c) => {
      this.rowState[c][0] = row[count - 1];
      row.fill(1, 0, count);
    });
  }

  protected override apply(gain: Float64Array, x: Float64Array, count: number): void {
    applyGain(gain, x, count);
  }
}

const different = [constant(0.5, 128), constant(0.25, 128)];

/** How a probe does one piece of 128 samples. */
function wayOf(probe: Probe, key?: readonly Float64Array[], traced = false): 'at once' | 'in steps' {
  const before = probe.piecesAtOnce;
  const input = different.slice(0, probe.format.channels);
  const rows = input.map(() => new Float64Array(128));
  probe.process(input, rows, { key, ...(traced && { trace: { gainDb: rows } }) });
  return probe.piecesAtOnce > before ? 'at once' : 'in steps';
}

describe('DynamicsShell', () => {
  it('does a piece at once where the channels move as one and hear nothing but themselves', () => {
    expect(wayOf(new Probe(mono))).toBe('at once');
    expect(wayOf(new Probe(mono, { linkPercent: 50 }))).toBe('at once'); // a channel alone is one
    expect(wayOf(new Probe(stereo))).toBe('at once');
    expect(wayOf(new Probe(stereo, { linkPercent: 50 }))).toBe('in steps');
    expect(wayOf(new Probe(stereo), different)).toBe('in steps');
    expect(wayOf(new Probe(stereo), undefined, true)).toBe('in steps');
    expect(wayOf(new Probe(stereo, { lookaheadMs: 1 }))).toBe('in steps');
    expect(wayOf(new Probe(stereo, {}, { keyFilter: new Gain(stereo) }))).toBe('in steps');
  });

  it('does not before the channels have come together, when they are linked again', () => {
    const probe = new Probe(stereo, { linkPercent: 0 });
    wayOf(probe); // the rows remember different levels now
    probe.set({ linkPercent: 100 });
    probe.process([constant(0, 900), constant(0, 900)], [new Float64Array(900), new Float64Array(900)]);
    expect(probe.piecesAtOnce).toBe(0);
    wayOf(probe); // the glide of 960 samples has ended, and all rows have had the same level
    expect(wayOf(probe)).toBe('at once');
  });

  it('tells its block whether the levels are those of another signal', () => {
    const probe = new Probe(stereo, { lookaheadMs: 1 });
    wayOf(probe);
    expect(probe.keyed).toBe(false);
    wayOf(probe, different);
    expect(probe.keyed).toBe(true);
    const filtered = new Probe(stereo, {}, { keyFilter: new Gain(stereo) });
    wayOf(filtered);
    expect(filtered.keyed).toBe(true);
  });

  it('traces the level of what entered before the trace began, and comes out now', () => {
    const compressor = new Compressor(mono, { lookaheadMs: 2 });
    render64(compressor, [levels([-30, 200], [-12, 96])]);
    const levelDb = new Float64Array(128);
    compressor.process([noise(128)], [new Float64Array(128)], { trace: { levelDb: [levelDb] } });
    expect(Math.max(...levelDb.subarray(0, 96).map((db) => Math.abs(db + 12)))).toBeLessThan(1e-5);
  });
});
