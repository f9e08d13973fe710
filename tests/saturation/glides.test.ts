/** What stands between two settings: never louder than what the settings between them give. */
import { describe, expect, it } from 'vitest';
import type { Processor } from '../../src/core/processor.ts';
import { HardClipper } from '../../src/saturation/hard-clipper.ts';
import { Hysteresis } from '../../src/saturation/hysteresis.ts';
import { Saturator } from '../../src/saturation/saturator.ts';
import { SoftClipper } from '../../src/saturation/soft-clipper.ts';
import { sine } from '../support/signals.ts';

const RATE = 48000;
const mono = { sampleRateHz: RATE, channels: 1 };
const MOVE = 4800;
const x = sine(3 * MOVE, 80, RATE);

function peak(processor: Processor, next: object): number {
  const y = new Float64Array(x.length);
  processor.process([x], [y], { start: 0, end: MOVE });
  processor.set(next);
  processor.process([x], [y], { start: MOVE, end: y.length });
  return y.reduce((most, value) => Math.max(most, Math.abs(value)), 0);
}

const plain = { oversampling: 1 } as const;

describe('a glide', () => {
  it.each([
    ['hard clipper', new HardClipper(mono, { ...plain, ceilingDb: -60 }), { ceilingDb: 12 }],
    ['hard clipper', new HardClipper(mono, { ...plain, ceilingDb: 12 }), { ceilingDb: -60 }],
    ['soft clipper', new SoftClipper(mono, { ...plain, ceilingDb: -60 }), { ceilingDb: 12 }],
    ['soft clipper', new SoftClipper(mono, { ...plain, ceilingDb: 12 }), { ceilingDb: -60 }],
  ])('of the ceiling of a %s without drive never amplifies', (_, clipper, next) => {
    expect(peak(clipper, next)).toBeLessThanOrEqual(1);
  });

  it.each([
    ['saturator', 48, (driveDb: number) => new Saturator(mono, { ...plain, driveDb })],
    ['saturator', -24, (driveDb: number) => new Saturator(mono, { ...plain, driveDb })],
    ['hysteresis', 48, (driveDb: number) => new Hysteresis(mono, { ...plain, driveDb })],
  ])('of the drive of a %s to %i dB is nowhere louder than the loudest drive that it passes', (_, to, make) => {
    const drives = Array.from({ length: 13 }, (__, i) => -24 + 6 * i);
    const loudest = Math.max(...drives.map((driveDb) => peak(make(driveDb), {})));
    expect(peak(make(24 - to), { driveDb: to })).toBeLessThanOrEqual(1.05 * loudest);
  });
});
