/**
 * A contest: contestants in processes of their own take turns, round by round, so that what slows the machine down slows
 * down all of them. Only one of them works at a time.
 */
import { type ChildProcessWithoutNullStreams, spawn } from 'node:child_process';
import { createInterface, type Interface } from 'node:readline';

/** What takes part in a contest. */
export interface Contestant {
  /** Does the work once more, and returns the processor time in ns per sample and channel. */
  round(): Promise<number>;
  close(): void;
}

/** A process that answers questions; see `contestant.ts`. */
export class ProcessContestant implements Contestant {
  readonly #process: ChildProcessWithoutNullStreams;
  readonly #lines: AsyncIterator<string>;
  readonly #reader: Interface;
  #errors = '';

  /** Starts the process and waits for the end of its warm-up. */
  static async start(command: string, parameters: readonly string[]): Promise<ProcessContestant> {
    const contestant = new ProcessContestant(command, parameters);
    const first = await contestant.#next();
    if (first !== 'ready') throw new Error(`${command} ${parameters.join(' ')}: must say "ready", got ${first}`);
    return contestant;
  }

  private constructor(command: string, parameters: readonly string[]) {
    this.#process = spawn(command, parameters, { stdio: 'pipe' });
    this.#process.stderr.on('data', (text: Buffer) => (this.#errors += text.toString()));
    this.#process.on('error', (error) => (this.#errors += error.message));
    this.#process.stdin.on('error', () => {}); // a process that has ended is noticed by its missing answer
    this.#reader = createInterface({ input: this.#process.stdout });
    this.#lines = this.#reader[Symbol.asyncIterator]();
  }

  round(): Promise<number> {
    return this.ask('round');
  }

  /** Asks for a number. */
  async ask(question: string): Promise<number> {
    this.#process.stdin.write(`${question}\n`);
    return Number(await this.#next());
  }

  close(): void {
    this.#process.stdin.end();
    this.#reader.close();
  }

  async #next(): Promise<string> {
    const line = await this.#lines.next();
    if (line.done) throw new Error(`a contestant ended: ${this.#errors.trim() || 'it said nothing'}`);
    return line.value;
  }
}

/** Rounds of all contestants in turns: `result[c][r]` is round r of contestant c, in ns per sample and channel. */
export async function contest(contestants: readonly Contestant[], rounds: number): Promise<number[][]> {
  const results: number[][] = contestants.map(() => []);
  for (let r = 0; r < rounds; r++) {
    for (const [c, contestant] of contestants.entries()) results[c].push(await contestant.round());
  }
  return results;
}
