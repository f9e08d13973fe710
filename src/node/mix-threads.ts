/**
 * Threads of a mix: workers that run the first stretches of its strips, while this thread runs the last one, up to the mix
 * bus, the meters and the file.
 *
 *     worker 0:  chunk 3 | chunk 4 | ...
 *     worker 1:            chunk 3 | chunk 4 | ...
 *     here:                          chunk 3 | chunk 4 | ... --> sink
 *
 * The same bits come out as from one thread. Without workers, everything runs here.
 *
 * @module
 */
import { setImmediate as nextTurn } from 'node:timers/promises';
import { Worker } from 'node:worker_threads';
import type { AppliedMoves } from '../alignment/moves.ts';
import type { InputAlignment } from '../mix/align-inputs.ts';
import type { MixSink, StripFigures } from '../mix/mix-run.ts';
import { shareStrips } from '../mix/mix-share.ts';
import type { MixPlan } from '../mix/plan.ts';
import type { FoundHits, HitResources } from '../mix/prepare-hits.ts';
import { type MixReport, prepareMix, requireChunkFrames } from '../mix/renderer.ts';
import { costedStrips } from '../mix/strip-cost.ts';
import { MOST_COLUMNS } from '../report/mix-meter.ts';
import { type InputLevelsByName, levelsOf, meter, mostRead } from './metered-inputs.ts';
import { type SharedChunks, sharedChunks, ThreadMemory } from './thread-memory.ts';
import type { WavInput } from './wav-files.ts';
import { workerFile } from './worker-file.ts';

/** A share of a mix, as a worker is told. */
export interface ThreadJob {
  readonly plan: MixPlan;
  /** Paths of the inputs by their names. */
  readonly files: Readonly<Record<string, string>>;
  readonly moves: AppliedMoves;
  readonly found: FoundHits | undefined;
  readonly chunks: SharedChunks;
  readonly simd: boolean;
  readonly thread: number;
  /** Of the gains of dynamics blocks, where they are to be told. */
  readonly gainColumns: number | undefined;
}

/** What a thread has found out: about its strips, and about the inputs that it has read. */
export interface ThreadFigures {
  readonly figures: Readonly<Record<string, StripFigures>>;
  readonly levels: InputLevelsByName;
}

/** What a worker tells when it is done. */
export type ThreadAnswer = ThreadFigures | { readonly error: unknown };

/** A mix of files. */
export interface FileMix {
  readonly plan: MixPlan;
  readonly inputs: Readonly<Record<string, WavInput>>;
  readonly alignment: InputAlignment;
  readonly hits: HitResources;
  readonly chunkFrames: number | undefined;
  readonly simd: boolean | undefined;
  /** Whether the gains of the dynamics blocks are told. */
  readonly traced: boolean;
  readonly onProgress: (done: number, total: number) => void;
}

/** A mix that fits its files, ready to be rendered once. */
export interface PreparedFileMix {
  readonly sampleRateHz: number;
  /** Frames that will be written. */
  readonly frames: number;
  /** The hits that were found, where the plan has any. */
  readonly hits: FoundHits | undefined;
  /** @throws whatever the sink or a worker throws, or the reason of the signal; the threads must be closed then */
  render(sink: MixSink): Promise<RenderedFileMix>;
}

/** What is told of a mix of files. */
export interface RenderedFileMix {
  readonly report: MixReport;
  /** The inputs by their names, as they were read. */
  readonly levels: InputLevelsByName;
}

/** Longest time that this thread sleeps: then it listens whether somebody wants it to stop. */
const LONGEST_SLEEP_MS = 10;

/** Workers for one mix after the other. */
export class MixThreads {
  readonly #workers: readonly Worker[];
  readonly #signal: AbortSignal | undefined;
  readonly #answers: ThreadAnswer[] = [];

  /** @param count - threads in all, this one included */
  constructor(count: number, signal?: AbortSignal) {
    this.#signal = signal;
    this.#workers = Array.from({ length: count - 1 }, () => new Worker(workerFile()));
    for (const worker of this.#workers) {
      worker.on('message', (answer: ThreadAnswer) => this.#answers.push(answer));
      worker.on('error', (error) => this.#answers.push({ error }));
      worker.on('exit', () => this.#answers.push({ error: new Error('a thread of the mix has ended') }));
    }
  }

  /** Does everything that can be refused. */
  prepare(mix: FileMix): PreparedFileMix {
    const { plan, inputs, alignment, hits, traced, simd = true, onProgress } = mix;
    const gainColumns = traced ? MOST_COLUMNS : undefined;
    const chunkFrames = requireChunkFrames(mix.chunkFrames);
    const owners = shareStrips(costedStrips(plan, alignment.moves, inputs), this.#workers.length + 1);
    const here = Math.max(...owners.values());
    const chunks = sharedChunks(plan, owners, chunkFrames);
    const memory = new ThreadMemory(chunks, here);
    const metered = meter(inputs);
    const prepared = prepareMix(plan, metered, { alignment, hits, chunkFrames, gainColumns, simd, share: memory });
    const files = Object.fromEntries(Object.entries(inputs).map(([name, { path }]) => [name, path]));
    const moves = { moves: alignment.moves, leadSamples: alignment.leadSamples };
    return {
      sampleRateHz: prepared.sampleRateHz,
      frames: prepared.frames,
      hits: prepared.hits,
      render: async (sink) => {
        this.#answers.length = 0;
        for (let thread = 0; thread < here; thread++) {
          const job: ThreadJob = { plan, files, moves, found: prepared.hits, chunks, simd, thread, gainColumns };
          this.#workers[thread].postMessage(job);
        }
        const run = prepared.start(sink);
        for (let chunk = 0; chunk < run.chunks; chunk++) {
          do await this.#turn();
          while (!memory.wait(LONGEST_SLEEP_MS));
          run.step();
          memory.advance();
          onProgress(run.done, run.frames);
        }
        while (this.#answers.length < here) await this.#turn();
        const elsewhere = this.#figures();
        return {
          report: prepared.report(
            run,
            elsewhere.map(({ figures }) => figures),
          ),
          levels: mostRead([levelsOf(metered), ...elsewhere.map(({ levels }) => levels)]),
        };
      },
    };
  }

  /** Ends all workers, whatever they do. */
  async close(): Promise<void> {
    await Promise.all(this.#workers.map((worker) => worker.terminate()));
  }

  /** Lets happen what waits to happen. @throws the reason of the signal, or what a worker has thrown */
  async #turn(): Promise<void> {
    await nextTurn();
    this.#signal?.throwIfAborted();
    this.#figures();
  }

  /** What the workers have told so far. */
  #figures(): ThreadFigures[] {
    return this.#answers.map((answer) => {
      if ('error' in answer) throw answer.error;
      return answer;
    });
  }
}
