/**
 * Player: the live context with the graph of a session. It begins in silence and fades in.
 * @module
 */
import { createGraph, type Graph } from './graph.ts';
import type { PlanJson } from './plan.ts';
import { type LoudnessPair, SAMPLE_RATE_HZ, type Session } from './session.ts';

/** Which of the two is heard. */
export type Side = 'processed' | 'unprocessed';

const FADE_IN_SECONDS = 2;
const FADE_SECONDS = 0.05;
/** A browser that gives no sound leaves its answer open. */
const PATIENCE_MS = 3000;

const DENIED =
  'The browser gives this page no sound. Allow sound for it, or look whether another program holds the device, and press Play again.';

/** Gains that make both sides equally loud: the louder one is turned down. */
export function matchedGainsDb({ processedLufs, unprocessedLufs }: LoudnessPair): Record<Side, number> {
  const louder = processedLufs - unprocessedLufs;
  const difference = Number.isFinite(louder) ? louder : 0;
  return { processed: Math.min(0, -difference), unprocessed: Math.min(0, difference) };
}

/** Plays one session at a time. */
export class Player {
  /** Called when the audio thread tells of a fault. */
  onFault: (message: string) => void = () => undefined;
  #context: AudioContext | undefined;
  #graph: Graph | undefined;
  #volumeDb = -30;
  #side: Side = 'processed';
  #gainsDb: Record<Side, number> = { processed: 0, unprocessed: 0 };

  get graph(): Graph | undefined {
    return this.#graph;
  }

  /** @throws Error in words where the browser gives no sound, or does not load the processors */
  async play(plan: PlanJson, session: Session): Promise<void> {
    const context = (this.#context ??= newContext());
    const patience = new Promise((resolve) => setTimeout(resolve, PATIENCE_MS));
    await Promise.race([context.resume(), patience]).catch(() => undefined);
    if (context.state !== 'running') throw new Error(DENIED);
    const graph = await createGraph(context, plan, session, (message) => this.onFault(message));
    this.#graph = graph;
    this.#balance(0);
    graph.start(true);
    glide(context, graph.master.gain, this.#volumeDb, FADE_IN_SECONDS);
  }

  stop(): void {
    const graph = this.#graph,
      context = this.#context;
    this.#graph = undefined;
    if (!graph || !context) return;
    glide(context, graph.master.gain, -Infinity, FADE_SECONDS);
    setTimeout(() => {
      graph.close();
      if (!this.#graph) void context.suspend();
    }, 2000 * FADE_SECONDS);
  }

  setVolume(db: number): void {
    this.#volumeDb = db;
    if (this.#graph && this.#context) glide(this.#context, this.#graph.master.gain, db, FADE_SECONDS);
  }

  /** Chooses what is heard, at gains that make both equally loud. */
  hear(side: Side, gainsDb: Record<Side, number>): void {
    this.#side = side;
    this.#gainsDb = gainsDb;
    this.#balance(FADE_SECONDS);
  }

  #balance(seconds: number): void {
    const graph = this.#graph,
      context = this.#context;
    if (!graph || !context) return;
    for (const side of ['processed', 'unprocessed'] as const) {
      glide(context, graph[side].gain, side === this.#side ? this.#gainsDb[side] : -Infinity, seconds);
    }
  }
}

function newContext(): AudioContext {
  try {
    return new AudioContext({ sampleRate: SAMPLE_RATE_HZ });
  } catch (cause) {
    throw new Error(DENIED, { cause });
  }
}

function glide(context: AudioContext, parameter: AudioParam, toDb: number, seconds: number): void {
  const now = context.currentTime;
  parameter.cancelScheduledValues(now);
  parameter.setValueAtTime(parameter.value, now);
  parameter.linearRampToValueAtTime(10 ** (toDb / 20), now + seconds);
}
