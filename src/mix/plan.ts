/**
 * The plan: one JSON object that describes one mix.
 *
 *     inputs --> channels --> buses --> ... --> mixBus --> output
 *                    |  sends   ^
 *                    +----------+
 *
 * An input is a file's channel, or all its channels. A channel runs an input through a chain of blocks, a fader and a
 * pan into a bus or the mix bus; a bus does the same with the sum of what it is sent. Every path is compensated for
 * latency by the renderer.
 *
 * @module
 */
import type { BlockPlan } from '../blocks/block-plan.ts';
import type { ParameterTable, ParameterValues } from '../core/parameters.ts';
import type { AlignmentPlan } from './alignment-plan.ts';
import type { ContextPlan, ReferencePlan } from './comparison-plan.ts';
import type { HitsPlan } from './hits-plan.ts';

/** Version of the plan's form that this library reads. */
export const PLAN_VERSION = 1;

/** Name of the mix bus as a destination. */
export const MIX_BUS = 'mixBus';

/** What inputs, channels and buses can be called, but for {@link MIX_BUS}: names become parts of paths. */
export const NAME = /^[A-Za-z][A-Za-z0-9_-]*$/;

/** Parameters of the plan as a whole. */
export const planParameters = {
  /** How a single channel is spread over left and right; named by its gain at the centre. */
  panLaw: { default: '-3 dB', choices: ['-3 dB', '-4.5 dB', '-6 dB'] },
} as const satisfies ParameterTable;

/** Parameters of a channel's or bus's way out. */
export const stripParameters = {
  /** Fader. */
  gainDb: { default: 0, min: -120, max: 24 },
  /** Place between left (-1) and right (1). */
  pan: { default: 0, min: -1, max: 1 },
  /** Width of two channels: 0 is mono, 100 unchanged, 200 the side doubled. */
  widthPercent: { default: 100, min: 0, max: 200 },
} as const satisfies ParameterTable;

/** Parameters of a send. */
export const sendParameters = {
  /** Level of the share that is sent. */
  gainDb: { default: 0, min: -120, max: 24 },
  /** Where the share is taken: before or after the fader. The pan applies to both. */
  tap: { default: 'postFader', choices: ['preFader', 'postFader'] },
  /** Corner of a fourth-order Butterworth high-pass in this send alone: keeps a kick, say, out of a reverberation. 0 passes
   * everything; else 10 or more. */
  highpassHz: { default: 0, min: 0, max: 2000 },
} as const satisfies ParameterTable;

/** Lowest corner of a send's high-pass. */
export const LOWEST_GUARD_HZ = 10;

/** Parameters of the mix bus. */
export const mixBusParameters = {
  /** Fader of the whole mix. */
  gainDb: { default: 0, min: -120, max: 24 },
} as const satisfies ParameterTable;

/** Parameters of the file that is written. */
export const outputParameters = {
  /** Encoding of the samples; integers are dithered. */
  sampleFormat: { default: 'integer24', choices: ['integer16', 'integer24', 'float32'] },
  /** When a tail that never ends is cut. */
  maxTailSeconds: { default: 10, min: 0, max: 600 },
} as const satisfies ParameterTable;

/** A file that is read, or one channel of it: a microphone, or an impulse response for a block that names it. */
export interface InputPlan {
  /** Path of a WAV file, relative to the plan. */
  readonly file: string;
  /** Which channel of the file, from 0; all of them (one or two) unless given. */
  readonly channel?: number;
  /** What the microphone stands for, in the user's words. */
  readonly role?: string;
}

/** A share of a strip's signal that goes to a bus besides its output. */
export interface SendPlan extends ParameterValues<typeof sendParameters> {
  /** Name of a bus, or `mixBus`. */
  readonly to: string;
}

/** A bus: the sum of what it is sent, on its way to another bus or the mix bus. */
export interface BusPlan extends ParameterValues<typeof stripParameters> {
  /** Blocks in the order of the signal. */
  readonly chain: readonly BlockPlan[];
  /** Destination: name of a bus, or `mixBus`. */
  readonly output: string;
  /** Where else the strip is heard. */
  readonly sends: readonly SendPlan[];
}

/** A channel: an input on its way to a bus or the mix bus. */
export interface ChannelPlan extends BusPlan {
  /** Name of an input. */
  readonly input: string;
}

/** The last strip. */
export interface MixBusPlan extends ParameterValues<typeof mixBusParameters> {
  /** Blocks in order. */
  readonly chain: readonly BlockPlan[];
}

/** A parameter that takes a new value at a sample position of the inputs. */
export interface AutomationPlan {
  /** Path of a fader, pan, width, send level or block parameter: `channels.snare.chain[0].thresholdDb`. */
  readonly target: string;
  /** Sample of the inputs from which the value glides to its new place. */
  readonly sample: number;
  /** Value from that moment on, in the unit of the parameter. */
  readonly value: number | boolean;
}

/** The file that is written. */
export interface OutputPlan extends ParameterValues<typeof outputParameters> {
  /** Path of the WAV file, relative to the plan. */
  readonly file: string;
}

/** A validated plan, with everything filled in that the JSON may leave out. */
export interface MixPlan extends ParameterValues<typeof planParameters> {
  /** Version of the format. */
  readonly version: typeof PLAN_VERSION;
  /** Microphones by name. */
  readonly inputs: Readonly<Record<string, InputPlan>>;
  /** How the microphones are brought into time. */
  readonly alignment: AlignmentPlan;
  /** Strips by name, in order. */
  readonly channels: Readonly<Record<string, ChannelPlan>>;
  /** Buses by name, in order. */
  readonly buses: Readonly<Record<string, BusPlan>>;
  /** What all is summed in. */
  readonly mixBus: MixBusPlan;
  /** Changes of parameters at given times. */
  readonly automation: readonly AutomationPlan[];
  /** Drums whose hits are found, and what follows from them. */
  readonly hits?: HitsPlan;
  /** Finished tracks with which the mix is compared. */
  readonly references: readonly ReferencePlan[];
  /** The other instruments of the song, by names of their own: what they cover of the mix is told. */
  readonly context: Readonly<Record<string, ContextPlan>>;
  /** Format and length of what is written. */
  readonly output: OutputPlan;
}
