/** Hits for tests: one made of few words, and a signal whose hits are known. */
import { type Hit, type HitList, hitListOf } from '../../src/hits/hit-list.ts';
import { Random } from '../../src/core/random.ts';

export const hitAt = (sample: number, changes: Partial<Hit> = {}): Hit => ({
  drum: 'snare',
  sample,
  velocityDb: -12,
  velocity: 90,
  confidence: 0.9,
  source: 'detected',
  ...changes,
});

/** A list of hits of one drum at these seconds. */
export const listAt = (seconds: readonly number[], changes: Partial<Hit> = {}): HitList =>
  hitListOf(
    48000,
    seconds.map((time) => hitAt(time * 48000, changes)),
  );

/** Bursts of noise under an exponential that falls by 60 dB in `decaySeconds`, over noise of -80 dBFS. */
export function bursts(
  frames: number,
  sampleRateHz: number,
  hits: readonly { readonly sample: number; readonly gain: number }[],
  decaySeconds = 0.2,
): Float64Array {
  const random = new Random(7);
  const x = Float64Array.from({ length: frames }, () => 1e-4 * (2 * random.next() - 1));
  for (const { sample, gain } of hits) {
    for (let i = 0; sample + i < frames && i < sampleRateHz; i++) {
      x[sample + i] += gain * (2 * random.next() - 1) * 10 ** ((-3 * i) / (decaySeconds * sampleRateHz));
    }
  }
  return x;
}
