/**
 * Plays before and after at the same loudness, in a loop, from the same place: a change of side or of the block cross-fades.
 *
 * The louder of the two is turned down, and both where a peak would pass full scale. The first seconds fade in.
 *
 * @module
 */
import type { Shown } from './workshop.ts';
import type { Sound } from './render.ts';

/** Which of the two is heard. */
export type SideName = 'before' | 'after';

const FADE_IN_SECONDS = 1.5;
const CROSS_FADE_SECONDS = 0.03;
const PATIENCE_MS = 3000;

export const BLOCKED =
  'The browser does not let this page play sound. Allow sound for it, or click once more; everything else works without.';

interface Voice {
  readonly sources: readonly AudioBufferSourceNode[];
  readonly gains: Readonly<Record<SideName, GainNode>>;
  readonly master: GainNode;
  readonly shown: Shown;
  /** Time of the context at which the sound began. */
  readonly begin: number;
}

/** Gains in dB that make both sides equally loud without a peak above full scale. */
export function matchedGainsDb({
  loudnessLufs,
  peaksDb,
}: Pick<Shown, 'loudnessLufs' | 'peaksDb'>): Record<SideName, number> {
  const louder = loudnessLufs[1] - loudnessLufs[0];
  const difference = Number.isFinite(louder) ? louder : 0;
  const before = difference < 0 ? difference : 0,
    after = difference > 0 ? -difference : 0;
  const over = Math.max(0, peaksDb[0] + before, peaksDb[1] + after);
  return { before: before - over, after: after - over };
}

/** The loudspeaker side of the page. */
export class Player {
  #context: AudioContext | undefined;
  #voice: Voice | undefined;
  #side: SideName = 'after';
  #volumeDb = -30;

  get playing(): boolean {
    return this.#voice !== undefined;
  }

  /** Place in the sound, in seconds; undefined in silence. */
  get seconds(): number | undefined {
    if (!this.#voice || !this.#context) return undefined;
    const { shown, begin } = this.#voice;
    const length = shown.input.channels[0].length / shown.input.sampleRateHz;
    return Math.max(0, this.#context.currentTime - begin) % length;
  }

  /** Begins from silence. @throws Error in words for the page where the browser gives no sound */
  async play(shown: Shown): Promise<void> {
    const context = (this.#context ??= newContext());
    // A context that may not run stays suspended, and its promise open.
    const patience = new Promise((resolve) => setTimeout(resolve, PATIENCE_MS));
    await Promise.race([context.resume(), patience]).catch(() => undefined);
    if (context.state !== 'running') throw new Error(BLOCKED);
    this.#start(context, shown, 0, FADE_IN_SECONDS);
  }

  /** Goes on with another rendering, from the same place. */
  change(shown: Shown): void {
    if (!this.#voice || !this.#context) return;
    const at = this.seconds ?? 0;
    this.#end(CROSS_FADE_SECONDS);
    this.#start(this.#context, shown, at, CROSS_FADE_SECONDS);
  }

  stop(): void {
    this.#end(CROSS_FADE_SECONDS);
    this.#voice = undefined;
  }

  hear(side: SideName): void {
    this.#side = side;
    if (!this.#voice || !this.#context) return;
    for (const [name, gain] of Object.entries(this.#voice.gains)) {
      glide(this.#context, gain.gain, amplitude(this.#voice.shown, name as SideName, side), CROSS_FADE_SECONDS);
    }
  }

  setVolume(db: number): void {
    this.#volumeDb = db;
    if (this.#voice && this.#context) glide(this.#context, this.#voice.master.gain, toGain(db), CROSS_FADE_SECONDS);
  }

  #start(context: AudioContext, shown: Shown, offset: number, fadeSeconds: number): void {
    const master = new GainNode(context, { gain: 0 });
    master.connect(context.destination);
    const makeSide = (name: SideName, sound: Sound) => {
      const gain = new GainNode(context, { gain: amplitude(shown, name, this.#side) });
      const source = new AudioBufferSourceNode(context, { buffer: bufferOf(sound), loop: true });
      source.connect(gain).connect(master);
      return { gain, source };
    };
    const before = makeSide('before', shown.input),
      after = makeSide('after', shown.output);
    const length = shown.input.channels[0].length / shown.input.sampleRateHz;
    const now = context.currentTime;
    const sources = [before.source, after.source];
    for (const source of sources) source.start(now, offset % length);
    this.#voice = {
      sources,
      gains: { before: before.gain, after: after.gain },
      master,
      shown,
      begin: now - (offset % length),
    };
    glide(context, master.gain, toGain(this.#volumeDb), fadeSeconds);
  }

  #end(fadeSeconds: number): void {
    if (!this.#voice || !this.#context) return;
    const { sources, master } = this.#voice;
    glide(this.#context, master.gain, 0, fadeSeconds);
    for (const source of sources) source.stop(this.#context.currentTime + 2 * fadeSeconds);
  }
}

function newContext(): AudioContext {
  try {
    return new AudioContext();
  } catch {
    throw new Error(BLOCKED);
  }
}

function amplitude(shown: Shown, name: SideName, heard: SideName): number {
  return name === heard ? toGain(matchedGainsDb(shown)[name]) : 0;
}

function glide(context: AudioContext, parameter: AudioParam, to: number, seconds: number): void {
  const now = context.currentTime;
  parameter.cancelScheduledValues(now);
  parameter.setValueAtTime(parameter.value, now);
  parameter.linearRampToValueAtTime(to, now + seconds);
}

function bufferOf({ sampleRateHz, channels }: Sound): AudioBuffer {
  const buffer = new AudioBuffer({
    sampleRate: sampleRateHz,
    numberOfChannels: channels.length,
    length: channels[0].length,
  });
  channels.forEach((x, c) => {
    buffer.copyToChannel(x as Float32Array<ArrayBuffer>, c);
  });
  return buffer;
}

function toGain(db: number): number {
  return 10 ** (db / 20);
}
