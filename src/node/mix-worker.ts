/**
 * Worker: runs one thread's share of a mix. An entry of its own, which {@link MixThreads} starts.
 *
 *     job --> open the inputs, make the mixer --> chunk after chunk, as the shared memory allows --> figures of the strips
 *
 * @module
 */
import { parentPort } from 'node:worker_threads';
import { prepareMix } from '../mix/renderer.ts';
import { levelsOf, meter } from './metered-inputs.ts';
import type { ThreadAnswer, ThreadJob } from './mix-threads.ts';
import { ThreadMemory } from './thread-memory.ts';
import { openInputs } from './wav-files.ts';

/** A thread that is not the last one has nothing of the mix itself. */
const NOWHERE = { write: () => undefined };

function answer({ plan, files, moves, found, chunks, simd, thread, gainColumns }: ThreadJob): ThreadAnswer {
  const inputs = openInputs(files);
  try {
    const memory = new ThreadMemory(chunks, thread);
    const { chunkFrames } = chunks;
    const metered = meter(inputs);
    const run = prepareMix(plan, metered, {
      alignment: { ...moves, pairs: [] },
      found,
      chunkFrames,
      simd,
      gainColumns,
      share: memory,
    }).start(NOWHERE);
    for (let chunk = 0; chunk < run.chunks; chunk++) {
      memory.wait();
      run.step();
      memory.advance();
    }
    return { figures: run.figures, levels: levelsOf(metered) };
  } catch (error) {
    return { error };
  } finally {
    for (const input of Object.values(inputs)) input.close();
  }
}

parentPort?.on('message', (job: ThreadJob) => {
  parentPort?.postMessage(answer(job));
});
