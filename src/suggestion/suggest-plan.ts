/**
 * Suggests a plan for the recording of a kit of which nothing is known but its files: what each microphone is there for, and
 * settings to start from, each with the measurement that it rests on.
 *
 *     files --> channels --> listening --> roles --> drums --> hits --> settings --> plan
 *
 * A starting point, not a mix: levels, tone and taste remain to be set. Time and memory are bounded (`excerpt.ts`).
 *
 * @module
 */
import { refuse } from '../core/check.ts';
import type { SampleSource } from '../core/sample-source.ts';
import { detectHits } from '../hits/detect-hits.ts';
import { channelSource } from '../mix/input-source.ts';
import type { MixInput } from '../mix/input-reader.ts';
import { measureDrum } from './drum-settings.ts';
import { firstPlan } from './first-plan.ts';
import { type MicrophoneRole, type RoleGuess, rolesHeard, silent } from './guess-roles.ts';
import { kitDrums, kitInputs } from './kit-inputs.ts';
import { listen, type UnknownMicrophone } from './listening.ts';
import type { SuggestedSetting } from './suggested-setting.ts';
import { type Tempo, tempoOf } from './tempo.ts';

/** A file of a recording. */
export interface RecordedFile {
  /** Path as the plan shall name it. */
  readonly file: string;
  /** Its sound. */
  readonly input: MixInput;
}

/** A plan, and why it is as it is. */
export interface SuggestedPlan {
  /** To be written as JSON. */
  readonly plan: Readonly<Record<string, unknown>>;
  /** Of every channel of every file, in their order. */
  readonly roles: readonly RoleGuess[];
  /** The settings in the plan that were measured. */
  readonly settings: readonly SuggestedSetting[];
  /** Undefined if there are too few strokes. */
  readonly tempo: Tempo | undefined;
}

const PIECE = 8192;

/**
 * Suggests a plan.
 *
 * @param files - at least one, all of one sample rate and one origin of time; each channel is a microphone, unless both of a
 *   file are the same
 * @throws RangeError, with the file's name, for another sample rate than the first one's, or if all files are silent
 */
export function suggestPlan(files: readonly RecordedFile[]): SuggestedPlan {
  if (files.length === 0) throw new RangeError('suggestPlan: files must hold at least one');
  const { sampleRateHz } = files[0].input;
  const microphones = files.flatMap(({ file, input }) => {
    if (input.sampleRateHz !== sampleRateHz) {
      refuse(`${file}: sample rate in Hz`, `${sampleRateHz}, as that of ${files[0].file}`, input.sampleRateHz);
    }
    return microphonesOf(file, input);
  });
  const listening = listen(microphones, sampleRateHz);
  if (listening.microphones.length === 0) throw new RangeError(`${files[0].file} and all others are silent`);
  const heard = rolesHeard(listening);
  const named = kitInputs(
    heard.map(({ role }) => role as MicrophoneRole),
    (m) => listening.figures[m]?.fundamentalHz ?? NaN,
  );
  const drums = kitDrums(named);
  const sources = drums.map(({ name, kind, inputs }) => ({
    drum: name,
    kind,
    source: listening.excerpts[inputs[0].microphone],
  }));
  const hits = sources.length === 0 ? [] : detectHits(sources, sampleRateHz).hits;
  const tempo = tempoOf(listening.events, sampleRateHz);
  const measured = drums.flatMap((drum) => measureDrum(listening, drum, hits) ?? []);
  const inputs = named.map((input) => {
    const { file, channel } = listening.microphones[input.microphone];
    return { ...input, file, channel, peakDb: listening.peaksDb[input.microphone] };
  });
  const guesses = new Map(heard.map((guess, m) => [listening.microphones[m], guess]));
  return {
    ...firstPlan({ inputs, drums, measured, tempo }),
    roles: microphones.map((microphone) => guesses.get(microphone) ?? silent(microphone)),
    tempo,
  };
}

/** The channels of a file: one if it has one, or if all hold the same. */
function microphonesOf(file: string, input: MixInput): UnknownMicrophone[] {
  if (input.channels === 1) return [{ file, source: channelSource(file, input, undefined) }];
  const sources = Array.from({ length: input.channels }, (_, c) => channelSource(file, input, c));
  const different = sources.filter((source, c) => c === 0 || !same(source, sources[0]));
  return different.map((source) => ({ file, channel: sources.indexOf(source), source }));
}

function same(a: SampleSource, b: SampleSource): boolean {
  const [x, y] = [new Float64Array(PIECE), new Float64Array(PIECE)];
  for (let start = 0; start < a.frames; start += PIECE) {
    a.read(start, x);
    b.read(start, y);
    if (x.some((value, i) => value !== y[i])) return false;
  }
  return true;
}
