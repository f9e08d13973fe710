/**
 * Mixes the demo session over and over without a stop, in a process of its own: run by the soak proof as
 * `node <this, bundled> <hours of sound>`. Prints a line of JSON for every hour.
 */
import { arrayInput } from '../../src/mix/array-input.ts';
import { alignInputs } from '../../src/mix/align-inputs.ts';
import type { MixInput } from '../../src/mix/input-reader.ts';
import { parsePlan } from '../../src/mix/parse-plan.ts';
import { renderMix } from '../../src/mix/renderer.ts';
import { demoPlan } from '../../src/node/demo-plan.ts';
import { microphoneNames } from '../../src/simulation/names.ts';
import { simulateKit } from '../../src/simulation/simulate-kit.ts';

/** What an hour of sound was like. */
export interface SoakHour {
  readonly hour: number;
  /** Mean and largest magnitude of left and right, dBFS. */
  readonly meanDb: number;
  readonly peakDb: number;
  /** Samples that are no finite number. */
  readonly nonFinite: number;
  /** Largest difference from the loop that was kept, as a sample. */
  readonly difference: number;
  /** How many samples were compared with it. */
  readonly compared: number;
  /** Of the processor, for the hour. */
  readonly cpuSeconds: number;
  readonly residentMb: number;
}

/** The loop that all later ones are compared with: by then all that remembers is full. */
const KEPT = 16;

const hours = Number(process.argv[2]);
const { microphones, sampleRateHz, frames: loop } = simulateKit();
const plan = parsePlan(demoPlan);
const once = Object.fromEntries(microphoneNames.map((name) => [name, arrayInput([microphones[name]], sampleRateHz)]));
/** Of the inputs; their last second knows of the end, as what looks ahead does. */
const frames = Math.round(hours * 3600 * sampleRateHz);
const kept = [0, 1].map(() => new Float64Array(loop));
let hour = 0,
  heard = 0, // frames
  compared = 0,
  squares = 0,
  peak = 0,
  nonFinite = 0,
  difference = 0,
  count = 0,
  cpu = process.cpuUsage();

/** The samples over and over. */
function looped(input: MixInput): MixInput {
  const rest: Float64Array[] = [new Float64Array(0)];
  return {
    ...input,
    frames,
    read: (start, into, wanted) => {
      for (let i = 0; i < wanted;) {
        const at = (start + i) % loop,
          run = Math.min(wanted - i, loop - at);
        rest[0] = into[0].subarray(i);
        input.read(at, rest, run);
        i += run;
      }
      return wanted;
    },
  };
}

function hear(channels: readonly Float64Array[], start: number, end: number): void {
  for (let c = 0; c < 2; c++) {
    const y = channels[c],
      first = kept[c];
    for (let i = start; i < end; i++) {
      const x = y[i],
        n = heard + i - start,
        turn = Math.floor(n / loop),
        at = n - turn * loop;
      if (!Number.isFinite(x)) nonFinite++;
      squares += x * x;
      peak = Math.max(peak, Math.abs(x));
      if (turn === KEPT) first[at] = x;
      else if (turn > KEPT && n < frames - sampleRateHz) {
        difference = Math.max(difference, Math.abs(x - first[at]));
        compared++;
      }
    }
  }
  count += end - start;
  heard += end - start;
}

function tell(): void {
  const { user, system } = process.cpuUsage(cpu);
  const decibels = (value: number): number => 20 * Math.log10(value);
  const line: SoakHour = {
    hour: ++hour,
    meanDb: decibels(Math.sqrt(squares / (2 * count))),
    peakDb: decibels(peak),
    nonFinite,
    difference,
    compared,
    cpuSeconds: (user + system) / 1e6,
    residentMb: process.memoryUsage.rss() / 2 ** 20,
  };
  console.log(JSON.stringify(line));
  cpu = process.cpuUsage();
  squares = peak = nonFinite = difference = compared = count = 0;
}

const endless = Object.fromEntries(Object.entries(once).map(([name, input]) => [name, looped(input)]));
const perHour = Math.round(Math.min(1, hours) * 3600 * sampleRateHz);
renderMix(
  plan,
  endless,
  {
    write: (channels, start, end) => {
      hear(channels, start, end);
      if (heard >= perHour * (hour + 1) && hour + 1 < hours) tell();
    },
  },
  { alignment: alignInputs(plan, once) },
);
tell();
