/**
 * A first mix of a kit, as a plan: grouped, aligned, gated, cleared of lows, compressed, with a crushed copy and a space.
 *
 *     kick, snare, toms --> gate, high-pass --> their bus: compressor --+--> drums --> mixBus: clipper, limiter
 *     hat, ride, overheads --> high-pass --> cymbals -------------------+
 *     rooms --> compressor ---------------------------------------------+
 *     kick, snare, toms --> crush (parallel); snare, toms --> space
 *
 * Faders bring every microphone's peak to one level, from which the settings of the buses count; what is not measured is
 * common practice, as in the plan of the simulated kit. Only what there are microphones for is in the plan.
 *
 * @module
 */
import { dbToGain, gainToDb } from '../core/decibels.ts';
import { compressorFor, highpassOf, type MeasuredDrum } from './drum-settings.ts';
import type { MicrophoneRole } from './guess-roles.ts';
import type { KitDrum, KitInput } from './kit-inputs.ts';
import { noteOf, preDelayMs } from './pre-delay.ts';
import { roundTo } from './rounding.ts';
import type { SuggestedSetting } from './suggested-setting.ts';
import type { Tempo } from './tempo.ts';

/** What a plan is made of. */
export interface FirstPlanParts {
  /** With the file and channel of each. */
  readonly inputs: readonly (KitInput & {
    readonly file: string;
    readonly channel: number | undefined;
    readonly peakDb: number;
  })[];
  readonly drums: readonly KitDrum[];
  readonly measured: readonly MeasuredDrum[];
  readonly tempo: Tempo | undefined;
}

type Json = Readonly<Record<string, unknown>>;

/** Peak of every microphone behind its fader, before the share of its role. */
const PEAK_DB = -9;
const LOUDEST_FADER_DB = 24;
const USUAL_PRE_DELAY_MS = 25;
/** A tempo stands out by at least this. */
const CLEAR_TEMPO = 0.15;

/** Bus, level and pan by role. Common practice, drums from where the player sits. */
const PLACES: Readonly<
  Record<MicrophoneRole, { readonly bus: string; readonly gainDb: number; readonly pan: number }>
> = {
  kickIn: { bus: 'kick', gainDb: 0, pan: 0 },
  kickOut: { bus: 'kick', gainDb: -4, pan: 0 },
  snareTop: { bus: 'snare', gainDb: 0, pan: 0 },
  snareBottom: { bus: 'snare', gainDb: -8, pan: 0 },
  rackTom: { bus: 'toms', gainDb: 0, pan: -0.3 },
  floorTom: { bus: 'toms', gainDb: 0, pan: 0.5 },
  hat: { bus: 'cymbals', gainDb: -10, pan: -0.5 },
  ride: { bus: 'cymbals', gainDb: -14, pan: 0.6 },
  overheadLeft: { bus: 'cymbals', gainDb: 0, pan: -1 },
  overheadRight: { bus: 'cymbals', gainDb: 0, pan: 1 },
  overhead: { bus: 'cymbals', gainDb: 0, pan: 0 },
  roomLeft: { bus: 'rooms', gainDb: 0, pan: -1 },
  roomRight: { bus: 'rooms', gainDb: 0, pan: 1 },
  room: { bus: 'rooms', gainDb: 0, pan: 0 },
};

/** The plan as JSON, and the settings in it that were measured. */
export function firstPlan(parts: FirstPlanParts): { plan: Json; settings: SuggestedSetting[] } {
  const { inputs, drums, tempo } = parts;
  const settings: SuggestedSetting[] = [];
  const told = (path: string, own: readonly SuggestedSetting[]) => {
    for (const setting of own) settings.push({ ...setting, path: `${path}.${setting.path}` });
  };
  const channels = inputs.map((input): [string, Json] => [input.name, channelOf(input, parts, told)]);
  const used = [...new Set(inputs.map(({ role }) => PLACES[role].bus))];
  const overheads = inputs.filter(({ role }) => role.startsWith('overhead')).map(({ name }) => name);
  const plan = {
    version: 1,
    panLaw: '-3 dB',
    inputs: Object.fromEntries(
      inputs.map(({ name, file, channel, role }) => [name, { file, ...(channel !== undefined && { channel }), role }]),
    ),
    alignment: {
      method: 'closeToOverheads',
      drums: Object.fromEntries(drums.map((drum) => [drum.name, drum.inputs.map(({ name }) => name)])),
      overheads,
    },
    ...(drums.length > 0 && { hits: hitsOf(drums, overheads) }),
    channels: Object.fromEntries(channels),
    buses: { ...busesOf(used, parts, told), ...sharedBuses(used, tempo, told) },
    mixBus: {
      chain: [
        { type: 'hardClipper', driveDb: 0, ceilingDb: -4, oversampling: 8 },
        { type: 'limiter', ceilingDb: -5, releaseMs: 60 },
      ],
    },
    output: { file: 'mix.wav', sampleFormat: 'integer24' },
  };
  return { plan, settings };
}

type Tell = (path: string, settings: readonly SuggestedSetting[]) => void;

function hitsOf(drums: readonly KitDrum[], overheads: readonly string[]): Json {
  const others = drums.flatMap(({ inputs }) => inputs.slice(1).map(({ name }) => name));
  return {
    drums: Object.fromEntries(drums.map(({ name, kind, inputs }) => [name, { microphone: inputs[0].name, kind }])),
    furtherMicrophones: [...others, ...overheads],
  };
}

function channelOf(input: FirstPlanParts['inputs'][number], { measured }: FirstPlanParts, told: Tell): Json {
  const { name, role, peakDb } = input;
  const place = PLACES[role];
  const own = measured.find(({ drum }) => drum.inputs.some((other) => other.name === name));
  const chain: Json[] = [];
  const path = `channels.${name}`;
  if (own?.gate) {
    told(`${path}.chain[${chain.length}]`, own.drum.inputs[0].name === name ? own.gate.settings : []);
    // A second microphone follows the first, whose threshold it would not reach by itself.
    const follows = own.drum.inputs[0].name !== name && own.gate.block.key === undefined;
    chain.push({ ...own.gate.block, ...(follows && { key: own.drum.inputs[0].name }) });
  }
  if (own && !Number.isNaN(own.fundamentalHz)) {
    const highpass = highpassOf(own.fundamentalHz);
    told(`${path}.chain[${chain.length}].bands[0]`, [highpass]);
    chain.push(highpassBlock(highpass.value));
  } else if (place.bus === 'cymbals') {
    chain.push(highpassBlock(role === 'hat' || role === 'ride' ? 400 : 120));
  }
  const gainDb = roundTo(Math.min(LOUDEST_FADER_DB, PEAK_DB - peakDb + place.gainDb), 0.1);
  const reason = `peaks at ${peakDb.toFixed(1)} dBFS: brought to ${PEAK_DB + place.gainDb}`;
  told(path, [{ path: 'gainDb', value: gainDb, reason }]);
  return { input: name, output: place.bus, gainDb, ...(place.pan !== 0 && { pan: place.pan }), chain };
}

const highpassBlock = (frequencyHz: number): Json => ({
  type: 'equaliser',
  bands: [{ type: 'highpass', frequencyHz, order: 3 }],
});

/** Level of a drum's typical hit on its bus, its microphones in phase. */
function busPeakDb({ drum, medianDb }: MeasuredDrum, inputs: FirstPlanParts['inputs']): number {
  const [first, ...others] = drum.inputs;
  const mine = inputs.find(({ name }) => name === first.name);
  const share = (role: MicrophoneRole) => dbToGain(PLACES[role].gainDb - PLACES[first.role].gainDb);
  const sum = others.reduce((total, { role }) => total + share(role), 1);
  return medianDb - (mine?.peakDb ?? 0) + PEAK_DB + PLACES[first.role].gainDb + gainToDb(sum);
}

const COMPRESSORS = {
  kick: { ratio: 4, releaseMs: 90, makeupDb: 2, reductionDb: 4, crushDb: -4, spaceDb: undefined },
  snare: { ratio: 3, releaseMs: 120, makeupDb: 2, reductionDb: 4, crushDb: -3, spaceDb: -13 },
  toms: { ratio: 3, releaseMs: 160, makeupDb: 1, reductionDb: 4, crushDb: -6, spaceDb: -12 },
} as const;

/** Buses of the drums that are hit one by one, of the cymbals and of the rooms. */
function busesOf(used: readonly string[], { measured, inputs }: FirstPlanParts, told: Tell): Json {
  const struck = (['kick', 'snare', 'toms'] as const).filter((bus) => used.includes(bus));
  const buses: Record<string, Json> = {};
  for (const bus of struck) {
    const { ratio, releaseMs, makeupDb, reductionDb, crushDb, spaceDb } = COMPRESSORS[bus];
    const own = measured.filter(({ drum }) => PLACES[drum.inputs[0].role].bus === bus);
    const chain: Json[] = [];
    if (own.length > 0) {
      const loudest = own.reduce((a, b) => (busPeakDb(b, inputs) > busPeakDb(a, inputs) ? b : a));
      const { attackMs, thresholdDb, settings } = compressorFor(
        loudest,
        busPeakDb(loudest, inputs),
        ratio,
        reductionDb,
      );
      told(`buses.${bus}.chain[0]`, settings);
      chain.push({ type: 'compressor', thresholdDb, ratio, attackMs, releaseMs, makeupDb });
    }
    const sends = [
      { to: 'crush', gainDb: crushDb },
      ...(spaceDb === undefined ? [] : [{ to: 'space', gainDb: spaceDb }]),
    ];
    buses[bus] = { output: 'drums', chain, sends };
  }
  if (used.includes('cymbals')) buses.cymbals = { output: 'drums', gainDb: -5, chain: [] };
  if (used.includes('rooms')) {
    const chain = [
      {
        type: 'equaliser',
        bands: [
          { type: 'highpass', frequencyHz: 80, order: 2 },
          { type: 'lowpass', frequencyHz: 7000 },
        ],
      },
      { type: 'compressor', thresholdDb: PEAK_DB - 25, ratio: 10, attackMs: 1, releaseMs: 140, makeupDb: 9 },
    ];
    buses.rooms = { output: 'drums', gainDb: -11, chain };
  }
  return buses;
}

/** The crushed copy, the sum of all, and the space, whose pre-delay follows the tempo. */
function sharedBuses(used: readonly string[], tempo: Tempo | undefined, told: Tell): Json {
  const crushed = ['kick', 'snare', 'toms'].some((bus) => used.includes(bus)),
    spacious = ['snare', 'toms'].some((bus) => used.includes(bus));
  const crush = [
    { type: 'compressor', thresholdDb: -38, ratio: 12, attackMs: 0.5, releaseMs: 70, makeupDb: 14 },
    { type: 'hardClipper', driveDb: 6, ceilingDb: -6, oversampling: 4 },
    { type: 'equaliser', bands: [{ type: 'highpass', frequencyHz: 60, order: 2 }] },
  ];
  const drums = [
    { type: 'compressor', thresholdDb: -14, ratio: 2, attackMs: 30, releaseMs: 180, kneeDb: 10, makeupDb: 1 },
    { type: 'softClipper', driveDb: 3, ceilingDb: 0, curve: 'tanh', oversampling: 4 },
  ];
  const space: Json[] = [];
  if (spacious) {
    const preDelay = spacePreDelay(tempo);
    told('buses.space.chain[0]', [preDelay]);
    const preDelayMs = preDelay.value;
    space.push({ type: 'schroederReverb', preDelayMs, decaySeconds: 1.1, decayHighSeconds: 0.6, highpassHz: 250, lowpassHz: 9000 }); // prettier-ignore
  }
  return {
    ...(crushed && { crush: { output: 'drums', gainDb: -14, chain: crush } }),
    drums: { chain: drums },
    ...(spacious && { space: { chain: space } }),
  };
}

function spacePreDelay(tempo: Tempo | undefined): SuggestedSetting {
  const path = 'preDelayMs';
  if (!tempo || tempo.strength < CLEAR_TEMPO) {
    return { path, value: USUAL_PRE_DELAY_MS, reason: 'no clear tempo was heard; the middle of what is usual' };
  }
  const exact = preDelayMs(tempo.bpm);
  const value = roundTo(exact, 0.1);
  return { path, value, reason: `${noteOf(exact, tempo.bpm)} note at ${tempo.bpm.toFixed(1)} quarters to the minute` };
}
