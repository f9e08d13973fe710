/** Impulse responses of processors. */
import type { Processor } from '../../src/core/processor.ts';
import { render64 } from './processor-laws.ts';
import { impulse } from './signals.ts';

/** What each channel gives when all get an impulse at once. */
export function impulseResponse(processor: Processor, seconds: number): Float64Array[] {
  const { channels, sampleRateHz } = processor.format;
  const length = Math.ceil(seconds * sampleRateHz);
  return render64(
    processor,
    Array.from({ length: channels }, () => impulse(length)),
  );
}
