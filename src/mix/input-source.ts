/**
 * An input of a plan as a mono signal, for what listens to it before the mix.
 * @module
 */
import type { SampleSource } from '../core/sample-source.ts';
import { requireRate } from './input-rate.ts';
import { InputReader, type MixInput } from './input-reader.ts';
import type { MixPlan } from './plan.ts';

/** Frames read at a time. */
const PIECE = 8192;

/**
 * An input as a mono signal.
 *
 * @throws RangeError, with a path, if it has another sample rate or more than one channel
 */
export function inputSource(
  plan: MixPlan,
  inputs: Readonly<Record<string, MixInput>>,
  name: string,
  sampleRateHz: number,
): SampleSource {
  requireRate(name, inputs[name], sampleRateHz);
  const reader = new InputReader(`inputs.${name}`, inputs[name], plan.inputs[name].channel, PIECE);
  if (reader.channels !== 1) {
    throw new RangeError(
      `inputs.${name} must be one channel to be listened to (name one with "channel"), got ${reader.channels}`,
    );
  }
  const pieces = [new Float64Array(PIECE)];
  return {
    frames: reader.frames,
    read(start, into) {
      for (let at = 0; at < into.length; at += PIECE) {
        const count = Math.min(PIECE, into.length - at);
        reader.read(start + at, pieces, count);
        for (let i = 0; i < count; i++) into[at + i] = pieces[0][i];
      }
    },
  };
}
