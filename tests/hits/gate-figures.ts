/**
 * Figures of a gate on a drum of the simulated kit, whose stems tell drum and bleed apart: how much bleed is left in the
 * gaps, how much of every hit's first 5 ms is lost, and how many hits are kept.
 */
import { Gate, type GateOptions } from '../../src/dynamics/gate.ts';
import type { Equaliser } from '../../src/filters/equaliser.ts';
import { type DrumName, drumNames, type MicrophoneName } from '../../src/simulation/names.ts';
import type { SimulatedKit } from '../../src/simulation/simulate-kit.ts';
import { peak } from '../support/signals.ts';

export interface GateCase {
  readonly kit: SimulatedKit;
  readonly drum: DrumName;
  readonly microphone: MicrophoneName;
  readonly gate: GateOptions & { readonly holdMs: number; readonly releaseMs: number; readonly lookaheadMs: number };
  readonly key?: Float64Array;
  readonly keyFilter?: Equaliser;
  /** Sample, for each true hit, behind which the gate's level is below the closing level; from it the gap is counted. */
  readonly hitEnd: (arrival: number, next: number) => number;
}

export interface GateFigures {
  /** How far the bleed in the gaps between hits is down. */
  readonly bleedDownDb: number;
  /** Length of all gaps. */
  readonly gapSeconds: number;
  /** Loss of the peak in the first 5 ms, by true hit. */
  readonly lossesDb: readonly number[];
  /** Velocity of each true hit. */
  readonly velocities: readonly number[];
}

export function gateFigures({ kit, drum, microphone, gate: options, key, keyFilter, hitEnd }: GateCase): GateFigures {
  const { sampleRateHz, frames } = kit;
  const ms = (time: number) => Math.round((time / 1000) * sampleRateHz);
  const gate = new Gate({ sampleRateHz, channels: 1 }, options, { keyFilter });
  const padded = (x: Float64Array) => {
    const y = new Float64Array(frames + gate.latencySamples);
    y.set(x);
    return [y];
  };
  const gainDb = new Float64Array(frames + gate.latencySamples);
  const input = padded(kit.microphones[microphone]);
  gate.process(input, [new Float64Array(gainDb.length)], { trace: { gainDb: [gainDb] }, key: key && padded(key) });
  const gain = gainDb.subarray(gate.latencySamples).map((dB) => 10 ** (dB / 20));

  const target = kit.stem(microphone, drum);
  const bleed = new Float64Array(frames);
  for (const other of drumNames) if (other !== drum) kit.stem(microphone, other).forEach((x, i) => (bleed[i] += x));
  const hits = kit.truth.hits.filter((hit) => hit.drum === drum);
  const arrivals = hits.map(({ arrivals: all }) => Math.floor(all[microphone]));
  let before = 0,
    after = 0,
    length = 0;
  arrivals.forEach((at, h) => {
    const next = arrivals[h + 1] ?? frames;
    const from = hitEnd(at, next) + ms(options.holdMs + 2.3 * options.releaseMs);
    for (let i = from; i < next - ms(options.lookaheadMs); i++) {
      before += bleed[i] ** 2;
      after += (bleed[i] * gain[i]) ** 2;
      length++;
    }
  });
  return {
    bleedDownDb: 10 * Math.log10(before / after),
    gapSeconds: length / sampleRateHz,
    lossesDb: arrivals.map((at) => {
      const attack = target.subarray(at, at + ms(5));
      return 20 * Math.log10(peak(attack) / peak(attack.map((x, i) => x * gain[at + i])));
    }),
    velocities: hits.map(({ velocity }) => velocity),
  };
}
