/**
 * The sample rate that all inputs of a plan have in common.
 * @module
 */
import { requireFormat } from '../core/pieces.ts';
import type { MixInput } from './input-reader.ts';
import type { MixPlan } from './plan.ts';

/** Sample rate of the input that the first channel runs. @throws RangeError, with a path, if an input has no source */
export function commonRateHz(plan: MixPlan, inputs: Readonly<Record<string, MixInput>>): number {
  for (const name of Object.keys(plan.inputs)) {
    if (!Object.hasOwn(inputs, name)) throw new RangeError(`inputs.${name} must have a source`);
  }
  const [first] = Object.values(plan.channels);
  if (first === undefined) throw new RangeError('channels must hold at least one channel');
  const { sampleRateHz } = inputs[first.input];
  return requireFormat(`inputs.${first.input}`, { sampleRateHz, channels: 1 }).sampleRateHz;
}

/** @throws RangeError, with the input's path, unless it has this sample rate */
export function requireRate(name: string, input: MixInput, sampleRateHz: number): void {
  if (input.sampleRateHz === sampleRateHz) return;
  throw new RangeError(
    `inputs.${name}: the file must have ${sampleRateHz} Hz, as the input of the first channel has, got ${input.sampleRateHz} Hz`,
  );
}
