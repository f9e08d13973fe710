/**
 * A drum kit with known truth: what twelve microphones in a room record while somebody plays, and what really happened.
 *
 *     player --> strokes --> voice of each drum --> dry track --> path to each microphone --> + --> microphone
 *                   |        or recordings                        delay, 1/r, air,            ^
 *                   |                                             reflections, side           |
 *                   +--> truth: strike and arrival of every hit                             noise
 *
 * The simulator judges alignment, hit detection and gates, so it shares no delay and no filter with them. Everything
 * is drawn from one seed: the same options are the same bits on every machine. Up to rounding, all signals are
 * band-limited to 20/48 of the sample rate.
 *
 * @module
 */
import { type ParameterValues, resolveParameters } from '../core/parameters.ts';
import { Acoustics, perDrum, perMicrophone, type PerMicrophone, type PerPath } from './acoustics.ts';
import { DryTracks } from './dry-tracks.ts';
import { defaultKitLayout, type KitLayout } from './layout.ts';
import { microphoneNoise } from './microphone-noise.ts';
import { type DrumName, drumNames, type MicrophoneName, microphoneNames, type StrokeName } from './names.ts';
import { type OneShots, requireOneShots } from './one-shots.ts';
import { simulationParameters, type SimulationParameters } from './parameters.ts';
import { play, type Stroke } from './player.ts';
import { requireBleed, requireLayout, requireStrokes, type WantedStroke } from './require-options.ts';
import { requireKnown } from './require-known.ts';

/** Options of {@link simulateKit}; the numbers are those of `simulationParameters`. */
export interface SimulateKitOptions extends SimulationParameters {
  /**
   * Peak of the loudest other drum at a close microphone relative to its own drum's, -80 to 20 dB, both struck with
   * full force. Left out, distance and directivity decide.
   */
  readonly bleedDb?: number | undefined;
  /** Recordings in place of the voices. */
  readonly oneShots?: OneShots | undefined;
  /** Strokes in place of the player's; `tempoBpm`, `bars`, `timingMs` and `velocitySpread` then have no meaning. */
  readonly strokes?: readonly WantedStroke[] | undefined;
  /** Another room or other positions. */
  readonly layout?: KitLayout | undefined;
}

/** One blow, as it really happened. */
export interface TrueHit {
  /** Which drum was struck. */
  readonly drum: DrumName;
  /** How it was struck. */
  readonly stroke: StrokeName;
  /** Sample of the blow, with its fraction. */
  readonly sample: number;
  /** How hard, 0 to 1. */
  readonly velocity: number;
  /** Sample at which the direct sound of the blow reaches each microphone, with its fraction. */
  readonly arrivals: Readonly<Record<MicrophoneName, number>>;
}

/** What no recording tells. */
export interface KitTruth {
  /** All blows, sorted by time. */
  readonly hits: readonly TrueHit[];
  /** Way of the direct sound in samples, by microphone and drum. */
  readonly delaySamples: PerPath<number>;
  /** Sign of the direct sound, by microphone and drum. */
  readonly polarity: PerPath<1 | -1>;
  /** Bleed of the close microphones, in the sense of the option `bleedDb`. */
  readonly bleedDb: Readonly<Partial<Record<MicrophoneName, number>>>;
}

/** A simulated recording. */
export interface SimulatedKit {
  /** Sample rate in hertz. */
  readonly sampleRateHz: number;
  /** Length of every signal. */
  readonly frames: number;
  /** The recording: the sum, in the order of `drumNames`, of all stems of a microphone, plus its noise. */
  readonly microphones: PerMicrophone<Float64Array>;
  /** What one microphone hears of one drum, computed anew at every call. */
  stem(microphone: MicrophoneName, drum: DrumName): Float64Array;
  /** The noise of one microphone, computed anew at every call. */
  noise(microphone: MicrophoneName): Float64Array;
  /** When each drum was struck, and how its sound reached each microphone. */
  readonly truth: KitTruth;
}

/**
 * Simulates a kit.
 *
 * @throws RangeError for a number out of range, a stroke before 0 s, or a microphone within 2 cm of a drum or outside
 *   the room; TypeError for a wrong type or an unknown name.
 */
export function simulateKit(options: SimulateKitOptions = {}): SimulatedKit {
  const { bleedDb, oneShots = {}, strokes: wanted, layout = defaultKitLayout(), ...numbers } = options;
  const settings = resolveParameters('simulateKit: ', simulationParameters, numbers, 48000);
  requireBleed(bleedDb);
  requireOneShots(oneShots);
  requireLayout(layout);
  const strokes = wanted === undefined ? play(settings) : requireStrokes(wanted);

  const { sampleRateHz, seed } = settings;
  const last = strokes.reduce((latest, stroke) => Math.max(latest, stroke.seconds), 0);
  const frames = Math.ceil((last + settings.tailSeconds) * sampleRateHz);
  const dry = new DryTracks(sampleRateHz, seed, oneShots);
  const acoustics = new Acoustics(layout, sampleRateHz, settings, dry, settings.peakDb, bleedDb);
  const tracks = perDrum((drum) => dry.play(drum, strokes, frames));
  const noise = (microphone: MicrophoneName) => microphoneNoise(frames, microphone, settings.noiseFloorDb, seed);

  const microphones = perMicrophone(() => new Float64Array(frames));
  for (const drum of drumNames) acoustics.addToAll(drum, tracks[drum], microphones);
  for (const name of microphoneNames) addTo(microphones[name], noise(name));

  return {
    sampleRateHz,
    frames,
    microphones,
    stem(microphone, drum) {
      requireKnown(`stem: microphone ${microphone}`, microphone, microphoneNames);
      requireKnown(`stem: drum ${drum}`, drum, drumNames);
      return acoustics.hear(drum, tracks[drum], microphone);
    },
    noise(microphone) {
      requireKnown(`noise: microphone ${microphone}`, microphone, microphoneNames);
      return noise(microphone);
    },
    truth: truthOf(strokes, acoustics, settings),
  };
}

function truthOf(
  strokes: readonly Stroke[],
  acoustics: Acoustics,
  settings: ParameterValues<typeof simulationParameters>,
): KitTruth {
  const paths = acoustics.paths;
  const bleedDb: Partial<Record<MicrophoneName, number>> = {};
  for (const name of microphoneNames) {
    const bleed = acoustics.levels[name].bleedDb;
    if (bleed !== undefined) bleedDb[name] = bleed;
  }
  const hits = strokes.map(({ drum, stroke, seconds, velocity }) => {
    const sample = seconds * settings.sampleRateHz;
    const arrivals = perMicrophone((microphone) => sample + paths[microphone][drum].delaySamples);
    return { drum, stroke, sample, velocity, arrivals };
  });
  return {
    hits,
    delaySamples: perMicrophone((name) => perDrum((drum) => paths[name][drum].delaySamples)),
    polarity: perMicrophone((name) => perDrum((drum) => paths[name][drum].polarity)),
    bleedDb,
  };
}

function addTo(sum: Float64Array, signal: Float64Array): void {
  for (let i = 0; i < sum.length; i++) sum[i] += signal[i];
}
