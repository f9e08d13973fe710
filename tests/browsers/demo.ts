/**
 * The demo plan over two bars of the simulated kit: the main job, the same in Node, in a page, in a worker, and live.
 */
import { arrayInput } from '../../src/mix/array-input.ts';
import type { MixSink } from '../../src/mix/mix-run.ts';
import { parsePlan } from '../../src/mix/parse-plan.ts';
import { renderMix } from '../../src/mix/renderer.ts';
import { demoPlan } from '../../src/node/demo-plan.ts';
import { simulateKit } from '../../src/simulation/simulate-kit.ts';

/** Sound of the kit's microphones, as Float32, which an audio graph has. */
export interface DemoKit {
  readonly sampleRateHz: number;
  readonly frames: number;
  readonly microphones: Readonly<Record<string, Float32Array>>;
}

export function demoKit(): DemoKit {
  const { sampleRateHz, frames, microphones } = simulateKit({ bars: 1, tailSeconds: 1 });
  const rounded = Object.entries(microphones).map(([name, samples]) => [name, Float32Array.from(samples)]);
  return { sampleRateHz, frames, microphones: Object.fromEntries(rounded) as DemoKit['microphones'] };
}

export function demoInputs({ microphones, sampleRateHz }: DemoKit) {
  return Object.fromEntries(
    Object.entries(microphones).map(([name, samples]) => [name, arrayInput([samples], sampleRateHz)]),
  );
}

/** Left and right of the mix as Float32. */
export function renderDemo(kit = demoKit()): Float32Array[] {
  const pieces: Float32Array[][] = [[], []];
  const sink: MixSink = {
    write: (channels, start, end) => {
      for (let c = 0; c < 2; c++) pieces[c].push(Float32Array.from(channels[c].subarray(start, end)));
    },
  };
  renderMix(parsePlan(demoPlan), demoInputs(kit), sink);
  return pieces.map((list) => {
    const whole = new Float32Array(list.reduce((sum, piece) => sum + piece.length, 0));
    let at = 0;
    for (const piece of list) {
      whole.set(piece, at);
      at += piece.length;
    }
    return whole;
  });
}
