/** Figures of the gates of a suggested plan on the simulated kit that it was suggested for, as its stems tell them. */
import { sourceOf } from '../../src/core/sample-source.ts';
import type { GateOptions } from '../../src/dynamics/gate.ts';
import { Equaliser } from '../../src/filters/equaliser.ts';
import type { EqualiserBandOptions } from '../../src/filters/equaliser-bands.ts';
import { HitKey } from '../../src/hits/hit-key.ts';
import { findHits } from '../../src/mix/find-hits.ts';
import { parsePlan } from '../../src/mix/parse-plan.ts';
import type { DrumName, MicrophoneName } from '../../src/simulation/names.ts';
import type { SimulatedKit } from '../../src/simulation/simulate-kit.ts';
import { type GateFigures, gateFigures } from '../hits/gate-figures.ts';
import { trueHits } from '../hits/kit-layers.ts';

export interface PlanGate extends GateFigures {
  readonly drum: DrumName;
  readonly microphone: MicrophoneName;
  readonly keyed: boolean;
  readonly thresholdDb: number;
}

interface GateJson {
  readonly type: string;
  readonly key?: { readonly hits: string; readonly decayMs: number };
  readonly keyFilter?: readonly EqualiserBandOptions[];
}

/** The drum that each close microphone is there for. */
const OWN: Readonly<Partial<Record<MicrophoneName, DrumName>>> = {
  kickIn: 'kick',
  snareTop: 'snare',
  tom1: 'tom1',
  tom2: 'tom2',
};

/** Figures of every gate in the chain of a drum's first microphone. @param microphoneOf - by the file that the plan names */
export function planGates(kit: SimulatedKit, plan: object, microphoneOf: (file: string) => MicrophoneName): PlanGate[] {
  const { sampleRateHz } = kit;
  const parsed = parsePlan(plan);
  const microphones = Object.fromEntries(
    Object.entries(parsed.inputs).map(([name, { file }]) => [name, microphoneOf(file)]),
  );
  const list =
    parsed.hits && findHits(parsed.hits, sampleRateHz, (name) => sourceOf(kit.microphones[microphones[name]]));
  const channels = (plan as { channels: Record<string, { input: string; chain: readonly GateJson[] }> }).channels;
  return Object.values(channels).flatMap(({ input, chain }) => {
    const microphone = microphones[input],
      drum = OWN[microphone];
    const block = chain.find(({ type }) => type === 'gate');
    if (!drum || !block || typeof block.key === 'string') return [];
    const { type: _, key, keyFilter, ...options } = block;
    const gate = options as GateOptions & {
      thresholdDb: number;
      hysteresisDb: number;
      holdMs: number;
      releaseMs: number;
      lookaheadMs: number;
    };
    const heard = new Float64Array(kit.frames);
    let told: Float64Array = kit.microphones[microphone];
    if (key) {
      const keyOf = (hits: readonly { sample: number; velocityDb: number }[]) =>
        new HitKey(sampleRateHz, hits, { decayMs: key.decayMs });
      keyOf(list?.hits.filter((hit) => hit.drum === key.hits) ?? []).read(0, heard);
      told = new Float64Array(kit.frames);
      keyOf(trueHits(kit, drum, microphone)).read(0, told);
    }
    const closing = 10 ** ((gate.thresholdDb - gate.hysteresisDb) / 20);
    const figures = gateFigures({
      kit,
      drum,
      microphone,
      gate,
      ...(key && { key: heard }),
      ...(keyFilter && { keyFilter: new Equaliser({ sampleRateHz, channels: 1 }, keyFilter) }),
      hitEnd: (at, next) => {
        let end = at;
        for (let i = at; i < next; i++) if (Math.abs(told[i]) >= closing) end = i;
        return end + 1;
      },
    });
    return [{ ...figures, drum, microphone, keyed: key !== undefined, thresholdDb: gate.thresholdDb }];
  });
}
