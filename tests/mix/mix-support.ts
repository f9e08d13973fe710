/** Mixes in memory, for tests. */
import { arrayInput } from '../../src/mix/array-input.ts';
import type { MixInput } from '../../src/mix/input-reader.ts';
import { parsePlan } from '../../src/mix/parse-plan.ts';
import { type MixReport, renderMix, type RenderOptions } from '../../src/mix/renderer.ts';

export const RATE = 48000;

/** A recording in memory. */
export const recording = (...channels: readonly Float64Array[]): MixInput => arrayInput(channels, RATE);

export interface Rendered {
  readonly left: Float64Array;
  readonly right: Float64Array;
  readonly report: MixReport;
}

/** Renders a plan given as JSON; `version` and `output` are filled in. */
export function mix(json: object, inputs: Readonly<Record<string, MixInput>>, options: RenderOptions = {}): Rendered {
  const plan = parsePlan({ version: 1, output: { file: 'mix.wav' }, ...json });
  const parts: [Float64Array, Float64Array][] = [];
  const report = renderMix(
    plan,
    inputs,
    { write: ([left, right], start, end) => parts.push([left.slice(start, end), right.slice(start, end)]) },
    options,
  );
  const join = (side: 0 | 1) => {
    const whole = new Float64Array(parts.reduce((sum, part) => sum + part[side].length, 0));
    let at = 0;
    for (const part of parts) {
      whole.set(part[side], at);
      at += part[side].length;
    }
    return whole;
  };
  return { left: join(0), right: join(1), report };
}
