import { it } from 'vitest';
import { CorrelationMeter } from '../../src/meters/correlation.ts';
import { expectParts } from '../support/expect-parts.ts';

it('a part of a block, for a meter: whole numbers in order within it', () => {
  const block = [new Float64Array(8), new Float64Array(8)];
  expectParts('CorrelationMeter', (start, end) => {
    new CorrelationMeter({ sampleRateHz: 48000, channels: 2 }).process(block, start, end);
  });
});
