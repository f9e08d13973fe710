/** Roles and plan of a short recording of the simulated kit, whose truth is known. Larger trials: `docs/proofs/roles.md`. */
import { beforeAll, describe, expect, it } from 'vitest';
import { arrayInput } from '../../src/mix/array-input.ts';
import { parsePlan } from '../../src/mix/parse-plan.ts';
import { type MicrophoneName, microphoneNames } from '../../src/simulation/names.ts';
import type { SimulatedKit } from '../../src/simulation/simulate-kit.ts';
import { preDelayMs } from '../../src/suggestion/pre-delay.ts';
import { type RecordedFile, type SuggestedPlan, suggestPlan } from '../../src/suggestion/suggest-plan.ts';
import { noise } from '../support/signals.ts';
import { roleOfMicrophone, type UnlabelledKit, unlabelled } from './kit-files.ts';
import { planGates } from './plan-gates.ts';
import { SECONDS_APART, shortKit } from './short-kit.ts';

let kit: SimulatedKit;
let files: UnlabelledKit;
let suggested: SuggestedPlan;

/** The value at a path: `channels.kickIn.chain[0].thresholdDb`. */
const at = (plan: unknown, path: string): unknown =>
  path.split(/[.[\]]+/).reduce<unknown>((value, name) => (value as Record<string, unknown>)[name], plan);

/** The kit recorded by preamplifiers of different gains. */
function withGains(plain: SimulatedKit): SimulatedKit {
  const gainOf = (name: MicrophoneName) => 10 ** (-microphoneNames.indexOf(name) / 20);
  const turned = (name: MicrophoneName, x: Float64Array) => x.map((v) => gainOf(name) * v);
  return {
    ...plain,
    microphones: Object.fromEntries(
      microphoneNames.map((name) => [name, turned(name, plain.microphones[name])]),
    ) as SimulatedKit['microphones'],
    stem: (microphone, drum) => turned(microphone, plain.stem(microphone, drum)),
  };
}

beforeAll(() => {
  kit = withGains(shortKit());
  files = unlabelled(kit, 3);
  const silence: RecordedFile = {
    file: 'nothing.wav',
    input: arrayInput([new Float64Array(kit.frames)], kit.sampleRateHz),
  };
  suggested = suggestPlan([...files.files, silence]);
}, 120_000);

describe('roles', () => {
  it('are right for all twelve microphones, from content alone, whatever their gains', () => {
    const found = suggested.roles.slice(0, -1).map(({ role }) => role);
    expect(found).toEqual(files.microphones.map((name) => roleOfMicrophone[name]));
  });

  it('come with how sure they are and with figures', () => {
    for (const { confidence, reasons } of suggested.roles) {
      expect(confidence).toBeGreaterThan(0.25);
      expect(confidence).toBeLessThanOrEqual(1);
      expect(reasons.length).toBeGreaterThan(0);
    }
    const bottom = suggested.roles.find(({ role }) => role === 'snareBottom');
    expect(bottom?.reasons).toContain('inverted against the microphones above');
  });

  it('leave out what is silent', () => {
    expect(suggested.roles.at(-1)).toMatchObject({ file: 'nothing.wav', role: undefined, reasons: ['silent'] });
    expect(JSON.stringify(suggested.plan)).not.toContain('nothing.wav');
  });
});

describe('the plan', () => {
  it('can be mixed: it is valid, and every setting that is told stands where its path says', () => {
    expect(Object.keys(parsePlan(suggested.plan).inputs)).toHaveLength(12);
    expect(suggested.settings.length).toBeGreaterThan(20);
    for (const { path, value, reason } of suggested.settings) {
      expect(at(suggested.plan, path), path).toBe(value);
      expect(reason).toMatch(/\d/);
      expect(reason).not.toMatch(/NaN|undefined|Infinity/);
    }
  });

  it('groups the microphones of one drum, the nearest first, and aligns them with the overheads', () => {
    expect(at(suggested.plan, 'alignment.drums.kick')).toEqual(['kickIn', 'kickOut']);
    expect(at(suggested.plan, 'alignment.drums.snare')).toEqual(['snareTop', 'snareBottom']);
    expect(new Set(at(suggested.plan, 'alignment.overheads') as string[])).toEqual(
      new Set(['overheadLeft', 'overheadRight']),
    );
  });

  it('clears below 0.7 of the fundamentals that the simulator was given', () => {
    // The kit's voices: 58 Hz and sharp at first by up to 35 %, 192, 138 and 93 Hz and sharp by a few per cent.
    for (const [name, fundamentalHz, sharp] of [
      ['kickIn', 58, 1.25],
      ['snareTop', 192, 1.05],
      ['rackTom', 138, 1.08],
      ['floorTom', 93, 1.08],
    ] as const) {
      // prettier-ignore
      const corner = at(suggested.plan, `channels.${name}.chain[1].bands[0].frequencyHz`) as number;
      expect(corner).toBeGreaterThan(0.7 * fundamentalHz * 0.97);
      expect(corner).toBeLessThan(0.7 * fundamentalHz * sharp);
    }
  });

  it('sets the pre-delay by the tempo, whose beat is a whole number of the strokes that follow each other evenly', () => {
    const bpm = suggested.tempo?.bpm ?? 0;
    const strokes = 60 / bpm / SECONDS_APART;
    expect(Math.abs(strokes - Math.round(strokes))).toBeLessThan(0.03);
    expect(at(suggested.plan, 'buses.space.chain[0].preDelayMs')).toBeCloseTo(preDelayMs(bpm), 1);
  });

  it('brings every microphone to one peak, less the share of its role', () => {
    for (const { path, reason } of suggested.settings.filter((setting) =>
      /^channels\.\w+\.gainDb$/.test(setting.path),
    )) {
      const [, peakDb, wanted] = /peaks at (-[\d.]+) dBFS: brought to (-\d+)/.exec(reason) ?? [];
      expect(at(suggested.plan, path)).toBeCloseTo(Number(wanted) - Number(peakDb), 0);
    }
  });

  it('gates so that at least 20 dB of the bleed between hits go, and at most 0.3 dB of any hit', () => {
    const gates = planGates(kit, suggested.plan, files.microphoneOf);
    expect(gates.map(({ drum }) => drum).sort()).toEqual(['kick', 'snare', 'tom1', 'tom2']);
    for (const { drum, bleedDownDb, lossesDb, gapSeconds } of gates) {
      expect(gapSeconds, drum).toBeGreaterThan(0.2);
      expect(bleedDownDb, drum).toBeGreaterThanOrEqual(20);
      expect(Math.max(...lossesDb), drum).toBeLessThanOrEqual(0.3);
    }
  });
});

describe('few or odd files', () => {
  const rate = 48000;

  it('a name decides where the sound says nothing', () => {
    const hiss = noise(rate, 5, 0.01);
    const { roles, plan } = suggestPlan([
      { file: 'OH L.wav', input: arrayInput([hiss], rate) },
      { file: 'OH R.wav', input: arrayInput([noise(rate, 6, 0.01)], rate) },
    ]);
    expect(roles.map(({ role }) => role)).toEqual(['overheadLeft', 'overheadRight']);
    expect(Object.keys(parsePlan(plan).inputs)).toEqual(['overheadLeft', 'overheadRight']);
  });

  it('a file of two channels is two microphones, left and right, unless both are the same', () => {
    const [a, b] = [noise(rate, 5, 0.01), noise(rate, 6, 0.01)];
    const of = (file: string, ...channels: Float64Array[]) =>
      suggestPlan([{ file, input: arrayInput(channels, rate) }]);
    const pair = of('overheads.wav', a, b);
    expect(pair.roles.map(({ role, channel }) => [role, channel])).toEqual([
      ['overheadLeft', 0],
      ['overheadRight', 1],
    ]);
    expect(at(pair.plan, 'inputs.overheadRight')).toMatchObject({ file: 'overheads.wav', channel: 1 });
    expect(of('kick out.wav', a, a).roles.map(({ role }) => role)).toEqual(['kickOut']);
    expect(of('kick.wav', a, a).roles.map(({ role, channel }) => [role, channel])).toEqual([['kickIn', 0]]);
  });

  it('takes any sample rate, a single sample, and a constant', () => {
    for (const [sampleRateHz, x] of [
      [22050, noise(22050, 7, 0.1)],
      [48000, Float64Array.of(0.5)],
      [48000, new Float64Array(5000).fill(0.5)],
      [192000, noise(20000, 8, 0.1)],
    ] as const) {
      const { plan } = suggestPlan([{ file: 'snare.wav', input: arrayInput([x], sampleRateHz) }]);
      expect(Object.keys(parsePlan(plan).inputs)).toEqual(['snareTop']);
    }
  });

  it('refuses no files, silence, and another sample rate, each by name', () => {
    const silent = arrayInput([new Float64Array(rate)], rate);
    expect(() => suggestPlan([])).toThrow('files must hold at least one');
    expect(() => suggestPlan([{ file: 'a.wav', input: silent }])).toThrow('a.wav and all others are silent');
    expect(() =>
      suggestPlan([
        { file: 'a.wav', input: silent },
        { file: 'b.wav', input: arrayInput([new Float64Array(rate)], 44100) },
      ]),
    ).toThrow(new RangeError('b.wav: sample rate in Hz must be 48000, as that of a.wav, got 44100'));
  });
});
