/**
 * Asks the worker.
 * @module
 */
import type { LoudnessPair, Session } from './session.ts';
import type { Question } from './worker.ts';

const worker = new Worker(new URL('./worker.ts', import.meta.url), { type: 'module' });
const waiting = new Map<number, (answer: { value: Session & LoudnessPair } | { failed: string }) => void>();
let last = 0;

worker.onmessage = ({ data: { id, ...answer } }: MessageEvent) => {
  waiting.get(id as number)?.(answer as never);
  waiting.delete(id as number);
};

/** @throws Error with what the worker could not do */
export function ask(question: Extract<Question, { kind: 'loudness' }>): Promise<LoudnessPair>;
export function ask(question: Exclude<Question, { kind: 'loudness' }>): Promise<Session>;
export function ask(question: Question): Promise<Session | LoudnessPair> {
  const id = ++last;
  worker.postMessage({ id, question });
  return new Promise((resolve, reject) => {
    waiting.set(id, (answer) => {
      if ('failed' in answer) reject(new Error(answer.failed));
      else resolve(answer.value);
    });
  });
}
