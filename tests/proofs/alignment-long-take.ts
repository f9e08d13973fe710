/**
 * Aligns a kit from files, in a process of its own, and prints what it took: run by the alignment proof as
 * `node <this, bundled> <folder> <minutes>`. The files `<microphone>.f32` are repeated until the take is so long.
 */
import { existsSync, fstatSync, openSync, readFileSync, readSync } from 'node:fs';
import { resolve } from 'node:path';
import { alignKit } from '../../src/alignment/align-kit.ts';
import type { KitMicrophone } from '../../src/alignment/kit-alignment.ts';
import type { SampleSource } from '../../src/core/sample-source.ts';
import { microphoneTargets } from '../../src/simulation/layout.ts';
import { type MicrophoneName, microphoneNames } from '../../src/simulation/names.ts';

const RATE = 48000;
const BYTES = 4;

/** Floats of a file, over and over. */
function repeated(path: string, frames: number): SampleSource {
  const file = openSync(path, 'r');
  const there = fstatSync(file).size / BYTES;
  const buffer = new Float32Array(65536);
  return {
    frames,
    read(start, into) {
      into.fill(0);
      for (let i = Math.max(0, -start); i < into.length && start + i < frames;) {
        const at = (start + i) % there;
        const count = Math.min(into.length - i, there - at, frames - start - i, buffer.length);
        readSync(file, buffer, 0, count * BYTES, at * BYTES);
        for (let k = 0; k < count; k++) into[i + k] = buffer[k];
        i += count;
      }
    },
  };
}

/** The most memory that this process has held. `maxRSS` would count what its parent held when it was started, too. */
function peakKilobytes(): number {
  const status = '/proc/self/status';
  const peak = existsSync(status) ? /^VmHWM:\s+(\d+) kB$/m.exec(readFileSync(status, 'utf8')) : null;
  return peak === null ? process.resourceUsage().maxRSS : Number(peak[1]);
}

const [folder, minutes] = process.argv.slice(2);
const microphones = Object.fromEntries(
  microphoneNames.map((name: MicrophoneName): [string, KitMicrophone] => {
    const drum = microphoneTargets[name];
    const role = drum !== undefined ? 'close' : name.startsWith('room') ? 'room' : 'overhead';
    return [name, { source: repeated(resolve(folder, `${name}.f32`), Number(minutes) * 60 * RATE), role, drum }];
  }),
);
// Rooms are moved as well, so that all twelve are compared.
const { pairs } = alignKit(microphones, { sampleRateHz: RATE, moveRooms: true, maxDistanceMetres: 6 });
const { user, system } = process.cpuUsage();
const residentMb = peakKilobytes() / 1024;
console.log(JSON.stringify({ cpuSeconds: (user + system) / 1e6, residentMb, pairs: pairs.length }));
