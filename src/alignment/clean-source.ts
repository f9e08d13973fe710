/**
 * A source without samples that no recording has.
 * @module
 */
import { INPUT_LIMIT } from '../core/pieces.ts';
import { type Samples, type SampleSource, sourceOf } from '../core/sample-source.ts';

/** The same signal with 0 for every sample that is not finite or above 1e6. */
export function cleanSource(signal: Samples | SampleSource): SampleSource {
  const source = 'read' in signal ? signal : sourceOf(signal);
  return {
    frames: source.frames,
    read(start, into) {
      source.read(start, into);
      for (let i = 0; i < into.length; i++) if (!(Math.abs(into[i]) <= INPUT_LIMIT)) into[i] = 0;
    },
  };
}
