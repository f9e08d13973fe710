/**
 * The demo plan over two bars of the simulated kit: the main job, the same in Node, in a page and in a worker.
 */
import { parsePlan } from '../../src/mix/parse-plan.ts';
import { type MixSink, renderMix } from '../../src/mix/renderer.ts';
import { demoPlan } from '../../src/node/demo-plan.ts';
import { simulateKit } from '../../src/simulation/simulate-kit.ts';

/** Left and right of the mix as Float32. */
export function renderDemo(): Float32Array[] {
  const kit = simulateKit({ bars: 1, tailSeconds: 1 });
  const plan = parsePlan(demoPlan);
  const inputs = Object.fromEntries(
    Object.entries(kit.microphones).map(([name, samples]) => [
      name,
      {
        sampleRateHz: kit.sampleRateHz,
        channels: 1,
        frames: kit.frames,
        read: (start: number, into: readonly Float64Array[], count: number) => {
          const piece = samples.subarray(start, start + count);
          into[0].set(piece);
          return piece.length;
        },
      },
    ]),
  );
  const pieces: Float32Array[][] = [[], []];
  const sink: MixSink = {
    write: (channels, start, end) => {
      for (let c = 0; c < 2; c++) pieces[c].push(Float32Array.from(channels[c].subarray(start, end)));
    },
  };
  renderMix(plan, inputs, sink);
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
