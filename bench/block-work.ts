/** A block at work: its time, what it allocates, and what silence costs it. */
import type { Processor } from '../src/core/processor.ts';
import { type Answers, processorTime, timed, type Work } from './contestant.ts';
import { BLOCK, drumBlocks, RATE_HZ } from './sound.ts';
import { median } from './statistics.ts';

declare const gc: () => void;

const ALLOCATION_NANOSECONDS = 1.5e8;
const ALLOCATION_REPEATS = 3;
const LEAST_OBJECT_BYTES = 12;
/** A second of sound, then silence until a decay of 1 s has fallen below the smallest number, or as long as there is time. */
const SILENT_BLOCKS = (110 * RATE_HZ) / BLOCK;
const SILENCE_NANOSECONDS = 3e8;
const TINY_NANOSECONDS = 1e8;
const WINDOW_NANOSECONDS = 5e6;
const REPEATS = 3;
const TINY = 1e-310;

/** Sound through a block. */
export function blockWork(processor: Processor): Work {
  const { channels } = processor.format;
  const blocks = drumBlocks(channels);
  const output = blocks[0].map(() => new Float32Array(BLOCK));
  return {
    channels,
    samplesPerTurn: BLOCK,
    turn: (index) => processor.process(blocks[index % blocks.length], output),
  };
}

/** Further questions to a block: `bytes` per turn, and what `silence` and `tiny` numbers cost, relative to sound. */
export function blockAnswers(processor: Processor, work: Work): Answers {
  return {
    bytes: () => bytesPerTurn(work),
    silence: () => relativeCost(processor, work, 0, SILENCE_NANOSECONDS),
    tiny: () => relativeCost(processor, work, TINY, TINY_NANOSECONDS),
  };
}

/**
 * Growth of the heap in bytes, the least of some repeats: an allocation is there every time. The young generation must be
 * so large that nothing is collected. What is less than an object per turn is the engine's own.
 */
function bytesPerTurn(work: Work): number {
  const turns = Math.ceil(ALLOCATION_NANOSECONDS / Math.max(100, timed(work, 100) / 100));
  const growths = Array.from({ length: ALLOCATION_REPEATS }, () => {
    const before = heapAfter(work, 1);
    return (heapAfter(work, turns) - before) / turns;
  });
  const bytes = Math.min(...growths);
  return bytes < LEAST_OBJECT_BYTES ? 0 : Math.round(bytes);
}

function heapAfter(work: Work, turns: number): number {
  gc();
  for (let t = 0; t < turns; t++) work.turn(t);
  return process.memoryUsage().heapUsed;
}

/**
 * The costliest stretch of what follows a second of sound, relative to sound. Every stretch counts with its least time of
 * some repeats: what else the machine does comes and goes, denormal numbers come back in the same place.
 */
function relativeCost(processor: Processor, work: Work, value: number, nanoseconds: number): number {
  const perTurn = timed(work, 500) / 500;
  const perWindow = Math.max(1, Math.round(WINDOW_NANOSECONDS / perTurn));
  const windows = Math.ceil(Math.min(SILENT_BLOCKS, nanoseconds / perTurn) / perWindow);
  const second = RATE_HZ / BLOCK;
  const { channels } = processor.format;
  const quiet = Array.from({ length: channels }, (_, c) =>
    Float64Array.from({ length: BLOCK }, (_, i) => ((i + c) % 3 === 0 ? -value : value)),
  );
  const output = quiet.map(() => new Float64Array(BLOCK));
  const least = new Array<number>(windows).fill(Infinity);
  const sound: number[] = [];
  for (let repeat = 0; repeat < REPEATS; repeat++) {
    processor.reset();
    sound.push(timed(work, second) / second);
    for (let w = 0; w < windows; w++) {
      const began = processorTime();
      for (let b = 0; b < perWindow; b++) processor.process(quiet, output);
      least[w] = Math.min(least[w], (processorTime() - began) / perWindow);
    }
  }
  return Math.max(...least) / median(sound);
}
