/**
 * A contestant: a process that does one work, and measures it whenever it is asked on its standard input.
 *
 *     ready           said once, after the warm-up
 *     round           asks for a round; the answer is the processor time, ns per sample and channel
 *
 * Further questions are answered by further measurements of the same process. Programs in other languages that keep to
 * this are contestants as well. Processor time, not the clock's: other processes on the machine matter less.
 */
import { createInterface } from 'node:readline';

/** Work that can be repeated. */
export interface Work {
  readonly channels: number;
  /** Samples of each channel that a turn handles. */
  readonly samplesPerTurn: number;
  turn(index: number): void;
}

/** What is asked, and what measures it. */
export type Answers = Readonly<Record<string, () => number | Promise<number>>>;

const WARM_UP_NANOSECONDS = 4e8;
const LEAST_WARM_UP_TURNS = 2;
const ROUND_NANOSECONDS = 6e7;

/** Processor time of this process, in ns. */
export function processorTime(): number {
  const { user, system } = process.cpuUsage();
  return 1000 * (user + system);
}

/** Processor time of `turns` turns, in ns. */
export function timed(work: Work, turns: number, first = 0): number {
  const began = processorTime();
  for (let t = 0; t < turns; t++) work.turn(first + t);
  return processorTime() - began;
}

/** Warms up, then answers until the input ends. */
export async function serve(work: Work, answers: Answers = {}): Promise<void> {
  const turns = turnsOfRound(work);
  let at = 0;
  const round = () => {
    const nanoseconds = timed(work, turns, at);
    at += turns;
    return nanoseconds / (turns * work.samplesPerTurn * work.channels);
  };
  await answer({ round, ...answers });
}

/** Says that it is ready, then answers until the input ends. */
export async function answer(answers: Answers): Promise<void> {
  console.log('ready');
  for await (const question of createInterface({ input: process.stdin })) console.log(await answers[question]());
}

/** Warms up, and finds how many turns make a round. */
function turnsOfRound(work: Work): number {
  const warmUp = { turns: 0, nanoseconds: 0 };
  while (warmUp.nanoseconds < WARM_UP_NANOSECONDS || warmUp.turns < LEAST_WARM_UP_TURNS) {
    const turns = Math.max(1, warmUp.turns);
    warmUp.nanoseconds += timed(work, turns, warmUp.turns);
    warmUp.turns += turns;
  }
  const some = Math.ceil(warmUp.turns / 8);
  return Math.max(1, Math.round((ROUND_NANOSECONDS * some) / timed(work, some)));
}
