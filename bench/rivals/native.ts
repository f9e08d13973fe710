/** Contestants that are compiled on the spot: the kernels of `bench/native/`, which must give what the library gives. */
import { spawnSync } from 'node:child_process';
import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { ProcessContestant } from '../contest.ts';
import type { NativeKernel } from '../native-kernels.ts';
import { drumSound, RATE_HZ } from '../sound.ts';

/** Names of the ways to compile, and the compiler's options for them. */
export const optimisations: Readonly<Record<string, readonly string[]>> = {
  'C++ -O2': ['-O2'],
  'C++ -O3': ['-O3', '-march=native'],
};

/** Largest difference from the library's output: a unit in the last place of a 32-bit float at full scale, or two. */
const TOLERANCE = 2e-7;

/** Compiles the kernels in every way; nothing if there is no compiler. */
export function compileKernels(folder: string): Readonly<Record<string, string>> | undefined {
  if (spawnSync('g++', ['--version'], { stdio: 'ignore' }).status !== 0) return undefined;
  return Object.fromEntries(
    Object.entries(optimisations).map(([name, options], i) => {
      const program = join(folder, `kernels-${i}`);
      const { status } = spawnSync('g++', ['-std=c++17', ...options, '-o', program, 'bench/native/main.cpp'], {
        stdio: 'inherit',
      });
      if (status !== 0) throw new Error(`bench/native/main.cpp does not compile with ${options.join(' ')}`);
      return [name, program];
    }),
  );
}

/** Starts a kernel, and compares a second of its output with the library's. */
export async function nativeContestant(
  program: string,
  { name, channels, create, parameters }: NativeKernel,
  folder: string,
): Promise<ProcessContestant> {
  const sound = Array.from({ length: channels }, (_, c) => Float32Array.from(drumSound(RATE_HZ, c + 1)));
  const path = join(folder, `second-${channels}.f32`);
  writeFileSync(path, Buffer.concat(sound.map((x) => Buffer.from(x.buffer))));
  const contestant = await ProcessContestant.start(program, [name, path, String(channels), ...parameters.map(String)]);

  const saved = join(folder, 'output.f32');
  await contestant.ask(`save ${saved}`);
  const bytes = readFileSync(saved);
  const theirs = new Float32Array(bytes.buffer, bytes.byteOffset, bytes.length / 4);
  const ours = sound.map((x) => new Float32Array(x.length));
  create().process(sound, ours);
  const difference = ours.reduce(
    (most, y, c) => y.reduce((largest, value, i) => Math.max(largest, Math.abs(value - theirs[c * RATE_HZ + i])), most),
    0,
  );
  if (!(difference <= TOLERANCE)) throw new Error(`${name} in C++ differs from the library by ${difference}`);
  return contestant;
}
