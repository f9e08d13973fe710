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
 * An input of a plan as a mono signal.
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
  return channelSource(`inputs.${name}`, inputs[name], plan.inputs[name].channel);
}

/**
 * One channel of an input as a signal.
 *
 * @param path - of the input, for messages
 * @param channel - from 0; may be undefined where there is only one
 * @throws RangeError, with the path, if there is no such channel, or more than one and none is named
 */
export function channelSource(path: string, input: MixInput, channel: number | undefined): SampleSource {
  const reader = new InputReader(path, input, channel, PIECE);
  if (reader.channels !== 1) {
    throw new RangeError(
      `${path} must be one channel to be listened to (name one with "channel"), got ${reader.channels}`,
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
