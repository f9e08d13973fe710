/** Contestants that are command-line programs: the processor time of a run, less that of a run that does nothing. */
import { spawn, spawnSync } from 'node:child_process';
import type { Contestant } from '../contest.ts';

/** Whether a program can be started. */
export const isThere = (command: string, ...parameters: string[]): boolean =>
  spawnSync(command, parameters, { stdio: 'ignore' }).status === 0;

/** Runs a command, and returns its processor time in ns, as the shell counts it: to the millisecond. */
function processorTimeOf(command: readonly string[]): Promise<number> {
  return new Promise((resolve, reject) => {
    const shell = spawn('bash', ['-c', `TIMEFORMAT='%3U %3S'; time "$@" > /dev/null 2> /dev/null`, 'bash', ...command]);
    let times = '';
    shell.stderr.on('data', (text: Buffer) => (times += text.toString()));
    shell.on('error', reject);
    shell.on('close', (code) => {
      const [user, system] = times.trim().split(' ').map(Number);
      if (code === 0) resolve(1e9 * (user + system));
      else reject(new Error(`${command.join(' ')}: exit code ${code}`));
    });
  });
}

/** A program that has `samples` samples to work on; `idle` is the same command without the work. */
export function commandContestant(work: readonly string[], idle: readonly string[], samples: number): Contestant {
  return {
    round: async () => (await processorTimeOf(work)) / samples - (await processorTimeOf(idle)) / samples,
    close: () => {},
  };
}
