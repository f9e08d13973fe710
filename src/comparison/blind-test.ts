/**
 * Blind tests: whether a listener tells two sounds apart when nothing but the sound tells.
 *
 *     pair      A and B in random order: which is which?           guessing is right in 1/2 of the trials
 *     triple    A A B, or B B A, in random order: the odd one?     guessing is right in 1/3
 *
 *     p = sum from k = correct to n of C(n, k) g^k (1 - g)^(n - k)     how often guessing would do as well
 *
 * The share of right answers comes with the exact interval (Clopper and Pearson) at 95 %.
 *
 * Source: ISO 5495 (paired comparison), ISO 4120 (triangle test); C. J. Clopper, E. S. Pearson, Biometrika 26, 1934
 * (from memory).
 *
 * @module
 */
import { requireInteger } from '../core/check.ts';
import { requireName } from '../core/json-check.ts';
import { Random } from '../core/random.ts';

/** What is asked in each trial. */
export type BlindTestKind = 'pair' | 'triple';

/** One trial: which of the two sounds plays at each place, and which place is the right answer. */
export interface BlindTrial {
  /** What is played, in this order. */
  readonly order: readonly ('a' | 'b')[];
  /** Place, from 0: of sound A in a pair, of the odd one in a triple. */
  readonly answer: number;
}

/** A test as JSON: keep it from the listener's eyes. */
export interface BlindTest {
  /** Version of this format. */
  readonly version: 1;
  /** Pair or triple. */
  readonly kind: BlindTestKind;
  /** Whole number from which the order was drawn. */
  readonly seed: number;
  /** What is played in each trial. */
  readonly trials: readonly BlindTrial[];
}

/** How a listener did. */
export interface BlindScore {
  /** How many answers were right. */
  readonly correct: number;
  /** How many trials there were. */
  readonly trials: number;
  /** How often somebody who guesses does at least as well, 0 to 1. */
  readonly guessingProbability: number;
  /** Where the true share of right answers lies, at 95 %. */
  readonly interval: readonly [number, number];
}

const KINDS: readonly BlindTestKind[] = ['pair', 'triple'];
const MAX_TRIALS = 1000;
const CONFIDENCE = 0.95;

/**
 * Draws a test; the same seed draws the same.
 *
 * @throws TypeError for a kind that there is not, RangeError unless there are 1 to 1000 trials
 */
export function blindTest(kind: BlindTestKind, trials: number, seed: number): BlindTest {
  requireName('blindTest: kind', kind, KINDS);
  requireInteger('blindTest: trials', trials, 1, MAX_TRIALS);
  requireInteger('blindTest: seed', seed, 0, 4294967295);
  const random = new Random(seed);
  const draw = (count: number) => Math.min(count - 1, Math.floor(random.next() * count));
  return {
    version: 1,
    kind,
    seed,
    trials: Array.from({ length: trials }, (): BlindTrial => {
      const answer = draw(kind === 'pair' ? 2 : 3);
      if (kind === 'pair') return { answer, order: answer === 0 ? ['a', 'b'] : ['b', 'a'] };
      const odd = draw(2) === 0 ? 'a' : 'b',
        rest = odd === 'a' ? 'b' : 'a';
      return { answer, order: [0, 1, 2].map((place) => (place === answer ? odd : rest)) };
    }),
  };
}

/**
 * Scores the answers (a place for each trial).
 *
 * @throws TypeError for a kind of test that there is not, RangeError unless there is an answer to every trial
 */
export function scoreBlindTest(test: BlindTest, answers: readonly number[]): BlindScore {
  const { kind, trials } = test;
  requireName('scoreBlindTest: test.kind', kind, KINDS);
  const n = trials.length;
  if (answers.length !== n) {
    throw new RangeError(`scoreBlindTest: answers must be ${n}, one for each trial, got ${answers.length}`);
  }
  answers.forEach((answer, i) => requireInteger(`scoreBlindTest: answers[${i}]`, answer, 0, kind === 'pair' ? 1 : 2));
  const correct = trials.filter(({ answer }, i) => answers[i] === answer).length;
  const tail = (1 - CONFIDENCE) / 2;
  return {
    correct,
    trials: n,
    guessingProbability: atLeast(correct, n, kind === 'pair' ? 1 / 2 : 1 / 3),
    interval: [
      correct === 0 ? 0 : solve((share) => atLeast(correct, n, share) - tail),
      correct === n ? 1 : solve((share) => atLeast(correct + 1, n, share) - (1 - tail)),
    ],
  };
}

/** Probability of at least k successes in n trials that succeed with probability g, 0 < g < 1. */
function atLeast(k: number, n: number, g: number): number {
  // From the mode outwards, relative to it: neither end underflows before it has stopped to matter.
  const mode = Math.min(n, Math.floor((n + 1) * g));
  const odds = g / (1 - g);
  const terms = new Float64Array(n + 1);
  terms[mode] = 1;
  for (let i = mode + 1; i <= n; i++) terms[i] = (terms[i - 1] * odds * (n - i + 1)) / i;
  for (let i = mode - 1; i >= 0; i--) terms[i] = (terms[i + 1] * (i + 1)) / ((n - i) * odds);
  let all = 0,
    upper = 0;
  for (let i = 0; i <= n; i++) {
    all += terms[i];
    if (i >= k) upper += terms[i];
  }
  return upper / all;
}

/** Root of a function that rises from 0 to 1. */
function solve(f: (x: number) => number): number {
  let low = 0,
    high = 1;
  for (let step = 0; step < 60; step++) {
    const middle = (low + high) / 2;
    if (f(middle) < 0) low = middle;
    else high = middle;
  }
  return (low + high) / 2;
}
