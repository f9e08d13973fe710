/**
 * The demo plan: a mix of the simulated kit, from grouping to limiting. `batterhead simulate` lays it beside the stems.
 *
 *     kickIn, kickOut ---------> kick ----+----------------------------> drums --> mixBus
 *     snareTop, snareBottom ---> snare ---+--> crush (parallel) ---------^
 *     tom1, tom2 --------------> toms ----+--> space (no kick) ---------------------^
 *     hat, ride, overheads ----> cymbals -+
 *     rooms -------------------> rooms ---+
 *
 * The alignment turns the snare's lower microphone and brings every drum in time with the overheads; the rooms stay late.
 * The settings are a starting point for this kit (common practice, then measured on it), not a recipe.
 *
 * @module
 */

const input = (name: string, role: string) => ({ file: `stems/${name}.wav`, role });

/** High-pass and what else a microphone needs, as the bands of one equaliser. */
const equaliser = (...bands: readonly object[]) => ({ type: 'equaliser', bands });
const highpass = (frequencyHz: number, order = 2) => ({ type: 'highpass', frequencyHz, order });
const bell = (frequencyHz: number, gainDb: number, q = 1) => ({ type: 'peaking', frequencyHz, gainDb, q });
const highShelf = (frequencyHz: number, gainDb: number) => ({ type: 'highShelf', frequencyHz, gainDb });

/** A gate that has begun to open when the hit comes, and listens past the bleed's low and high ends. */
const gate = (thresholdDb: number, holdMs: number, releaseMs: number, keyFilter: readonly object[]) => ({
  type: 'gate',
  thresholdDb,
  hysteresisDb: 6,
  rangeDb: 30,
  attackMs: 0.3,
  holdMs,
  releaseMs,
  lookaheadMs: 2,
  keyFilter,
});

const lows = [{ type: 'lowpass', frequencyHz: 120 }];
const around = (fromHz: number, toHz: number) => [highpass(fromHz), { type: 'lowpass', frequencyHz: toHz }];

/** The plan as JSON. */
export const demoPlan: object = {
  version: 1,
  panLaw: '-3 dB',
  inputs: {
    kickIn: input('kickIn', 'kick, inside'),
    kickOut: input('kickOut', 'kick, outside'),
    snareTop: input('snareTop', 'snare, batter side'),
    snareBottom: input('snareBottom', 'snare, wire side'),
    hat: input('hat', 'hi-hat'),
    tom1: input('tom1', 'rack tom'),
    tom2: input('tom2', 'floor tom'),
    ride: input('ride', 'ride'),
    overheadLeft: input('overheadLeft', 'overhead, left'),
    overheadRight: input('overheadRight', 'overhead, right'),
    roomLeft: input('roomLeft', 'room, left'),
    roomRight: input('roomRight', 'room, right'),
  },
  alignment: {
    method: 'closeToOverheads',
    drums: {
      snare: ['snareTop', 'snareBottom'],
      kick: ['kickIn', 'kickOut'],
      tom1: ['tom1'],
      tom2: ['tom2'],
      hat: ['hat'],
      ride: ['ride'],
    },
    overheads: ['overheadLeft', 'overheadRight'],
  },
  channels: {
    kickIn: {
      input: 'kickIn',
      output: 'kick',
      chain: [gate(-30, 120, 120, lows), equaliser(highpass(30), bell(350, -5, 1.2), bell(3500, 4, 0.9))],
    },
    kickOut: {
      input: 'kickOut',
      output: 'kick',
      gainDb: -4,
      chain: [
        gate(-32, 150, 150, lows),
        equaliser(highpass(30), bell(60, 3, 1), { type: 'lowpass', frequencyHz: 4000 }),
      ],
    },
    snareTop: {
      input: 'snareTop',
      output: 'snare',
      chain: [
        gate(-32, 120, 150, around(150, 5000)),
        equaliser(highpass(90, 3), bell(450, -3, 1.4), bell(4500, 3, 0.8)),
      ],
    },
    snareBottom: {
      input: 'snareBottom',
      output: 'snare',
      gainDb: -8,
      chain: [
        { ...gate(-32, 120, 150, around(150, 5000)), key: 'snareTop' },
        equaliser(highpass(180, 3), highShelf(6000, 2)),
      ],
    },
    hat: { input: 'hat', output: 'cymbals', gainDb: -10, pan: -0.5, chain: [equaliser(highpass(400, 3))] },
    tom1: {
      input: 'tom1',
      output: 'toms',
      pan: -0.3,
      chain: [gate(-24, 250, 250, around(80, 1500)), equaliser(highpass(60), bell(500, -4), bell(4000, 3))],
    },
    tom2: {
      input: 'tom2',
      output: 'toms',
      pan: 0.5,
      chain: [gate(-24, 300, 300, around(60, 1200)), equaliser(highpass(45), bell(450, -4), bell(3500, 3))],
    },
    ride: { input: 'ride', output: 'cymbals', gainDb: -14, pan: 0.6, chain: [equaliser(highpass(400, 3))] },
    overheadLeft: { input: 'overheadLeft', output: 'cymbals', pan: -1, chain: [equaliser(highpass(120, 3))] },
    overheadRight: { input: 'overheadRight', output: 'cymbals', pan: 1, chain: [equaliser(highpass(120, 3))] },
    roomLeft: { input: 'roomLeft', output: 'rooms', pan: -1 },
    roomRight: { input: 'roomRight', output: 'rooms', pan: 1 },
  },
  buses: {
    kick: {
      output: 'drums',
      chain: [{ type: 'compressor', thresholdDb: -18, ratio: 4, attackMs: 25, releaseMs: 90, makeupDb: 2 }],
      sends: [{ to: 'crush', gainDb: -4 }],
    },
    snare: {
      output: 'drums',
      chain: [{ type: 'compressor', thresholdDb: -20, ratio: 3, attackMs: 20, releaseMs: 120, makeupDb: 2 }],
      sends: [
        { to: 'crush', gainDb: -3 },
        { to: 'space', gainDb: -13 },
      ],
    },
    toms: {
      output: 'drums',
      chain: [{ type: 'compressor', thresholdDb: -18, ratio: 3, attackMs: 25, releaseMs: 160, makeupDb: 1 }],
      sends: [
        { to: 'crush', gainDb: -6 },
        { to: 'space', gainDb: -12 },
      ],
    },
    cymbals: { output: 'drums', gainDb: -5, chain: [equaliser(highShelf(9000, 1.5))] },
    rooms: {
      output: 'drums',
      gainDb: -11,
      chain: [
        equaliser(highpass(80), { type: 'lowpass', frequencyHz: 7000 }),
        { type: 'compressor', thresholdDb: -34, ratio: 10, attackMs: 1, releaseMs: 140, makeupDb: 9 },
      ],
    },
    crush: {
      output: 'drums',
      gainDb: -14,
      chain: [
        { type: 'compressor', thresholdDb: -38, ratio: 12, attackMs: 0.5, releaseMs: 70, makeupDb: 14 },
        { type: 'hardClipper', driveDb: 6, ceilingDb: -6, oversampling: 4 },
        equaliser(highpass(60), highShelf(5000, -2)),
      ],
    },
    drums: {
      chain: [
        { type: 'compressor', thresholdDb: -14, ratio: 2, attackMs: 30, releaseMs: 180, kneeDb: 10, makeupDb: 1 },
        { type: 'softClipper', driveDb: 3, ceilingDb: 0, curve: 'tanh', oversampling: 4 },
      ],
    },
    space: {
      chain: [
        {
          type: 'schroederReverb',
          preDelayMs: 26,
          decaySeconds: 1.1,
          decayHighSeconds: 0.6,
          highpassHz: 250,
          lowpassHz: 9000,
        },
      ],
    },
  },
  mixBus: {
    chain: [
      { type: 'hardClipper', driveDb: 0, ceilingDb: -4, oversampling: 8 },
      { type: 'limiter', ceilingDb: -5, releaseMs: 60 },
    ],
  },
  output: { file: 'mix.wav', sampleFormat: 'integer24' },
};
