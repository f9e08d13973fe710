/**
 * The worker, as seen from the page: questions as promises.
 * @module
 */
import type { Answer, Asked, Message, Question, Reply } from './workshop.ts';

interface Waiting {
  readonly resolve: (answer: unknown) => void;
  readonly reject: (error: Error) => void;
}

const worker = new Worker(new URL('./worker.ts', import.meta.url), { type: 'module' });
const waiting = new Map<number, Waiting>();
let count = 0;

worker.addEventListener('message', ({ data: { id, answer, error } }: MessageEvent<Reply>) => {
  const one = waiting.get(id);
  waiting.delete(id);
  if (error === undefined) one?.resolve(answer);
  else one?.reject(new Error(error));
});

/** A worker that could not be loaded, or has run out of memory, answers nothing. */
worker.addEventListener('error', ({ message }) => {
  for (const { reject } of waiting.values()) reject(new Error(`The worker stopped: ${message || 'not loaded'}.`));
  waiting.clear();
});

/** Asks the worker. @throws Error with what the library said, if it refused */
export function ask<Q extends Question>(question: Q, asked: Asked<Q>): Promise<Answer<Q>> {
  return new Promise((resolve, reject) => {
    const id = ++count;
    waiting.set(id, { resolve: resolve as Waiting['resolve'], reject });
    worker.postMessage({ id, question, asked } satisfies Message);
  });
}
