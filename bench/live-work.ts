/** The session as it runs live: what a mixer node does in each quantum, without the browser around it. */
import { parsePlan } from '../src/mix/parse-plan.ts';
import { MixerRunner } from '../src/worklet/mixer-runner.ts';
import type { Work } from './contestant.ts';
import { sessionJson } from './session.ts';
import { BLOCK, drumBlocks, RATE_HZ } from './sound.ts';

export function liveWork(tracks: number): Work {
  const plan = parsePlan(sessionJson(tracks));
  const settings = {
    plan,
    inputs: Object.keys(plan.inputs).map((name) => ({ name, channels: 1 })),
    alignment: { moves: {}, leadSamples: 0 },
    impulses: {},
    startFrame: 0,
  };
  const runner = new MixerRunner(settings, RATE_HZ);
  const ports = drumBlocks(1).map((block) => settings.inputs.map(() => block));
  const output = [new Float32Array(BLOCK), new Float32Array(BLOCK)];
  let quantum = 0; // a node's time never goes back
  return {
    channels: 1,
    samplesPerTurn: BLOCK,
    turn: () => {
      runner.run(ports[quantum % ports.length], output, quantum * BLOCK);
      quantum++;
    },
  };
}
