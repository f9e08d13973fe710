/**
 * The yardstick: four second-order sections, one channel, as plainly as JavaScript can say it and with nothing of the
 * library. Costs in yardsticks can be compared between runs, and roughly between machines.
 */
import type { Work } from './contestant.ts';
import { BLOCK, drumBlocks } from './sound.ts';

const SECTIONS = 4;

export function yardstick(): Work {
  const blocks = drumBlocks(1);
  const y = new Float64Array(BLOCK);
  const past = new Float64Array(4 * SECTIONS);
  return {
    channels: 1,
    samplesPerTurn: BLOCK,
    turn: (index) => {
      y.set(blocks[index % blocks.length][0]);
      for (let s = 0; s < SECTIONS; s++) section(y, past, 4 * s);
    },
  };
}

function section(y: Float64Array, past: Float64Array, at: number): void {
  const b0 = 0.2, // a mild low-pass
    b1 = 0.4,
    b2 = 0.2,
    a1 = -0.3,
    a2 = 0.1;
  let x1 = past[at],
    x2 = past[at + 1],
    y1 = past[at + 2],
    y2 = past[at + 3];
  for (let i = 0; i < y.length; i++) {
    const x = y[i];
    const out = b0 * x + b1 * x1 + b2 * x2 - a2 * y2 - a1 * y1;
    y[i] = out;
    x2 = x1;
    x1 = x;
    y2 = y1;
    y1 = out;
  }
  past[at] = x1;
  past[at + 1] = x2;
  past[at + 2] = y1;
  past[at + 3] = y2;
}
