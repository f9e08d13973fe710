/**
 * What the page asks of its worker. All work with samples happens there, so that the page always answers.
 * @module
 */
import type { AttackTime } from './attack-times.ts';
import type { Curve } from './curve.ts';
import type { Caption, Span } from './exports.ts';
import type { FailureText } from './failures.ts';
import type { OpenedFile } from './opened-file.ts';
import type { Rendering, Sound } from './render.ts';
import type { BlockTables, Settings } from './settings.ts';

/** All that the page needs to know about the blocks before it shows them. */
export interface Catalogue {
  readonly tables: BlockTables;
  /** What the parameters mean, by block and name. */
  readonly descriptions: Readonly<Record<string, Readonly<Record<string, string>>>>;
  /** Blocks that listen: those with a detector. */
  readonly listening: readonly string[];
  readonly failures: readonly (FailureText & { readonly faulty: Settings; readonly cured: Settings })[];
}

/** A rendering, and what the page shows of it besides. */
export interface Shown extends Rendering {
  readonly curve: Curve | undefined;
  readonly frequenciesHz: Float64Array;
  /** Spectrum of input and output, in dB. */
  readonly before: Float64Array;
  readonly after: Float64Array;
  /** Of input and output: loudness in LUFS, -Infinity for silence; peak in dBFS. */
  readonly loudnessLufs: readonly [number, number];
  readonly peaksDb: readonly [number, number];
  /** Openings of a gate or an expander. */
  readonly openings: number | undefined;
  /** Swing of the gain in dB. */
  readonly swingDb: number | undefined;
}

/** The questions, and what they are answered with. */
export interface Workshop {
  catalogue(): Catalogue;
  render(settings: Settings): Shown;
  /** Reads a WAV file; a render with the source `file` then hears it. */
  openWav(file: Blob): Promise<OpenedFile>;
  /** Takes a sound that the page has decoded. */
  takeSound(sound: Sound): void;
  /** Figure of a failure with its fault and with its cure. */
  failure(name: string): readonly [fault: number, cure: number];
  attackTimes(timeMs: number): AttackTime[];
  /** The last rendering as a table, or as pictures. */
  csv(span: Span): string;
  svg(request: { readonly caption: Caption; readonly span: Span }): string;
}

export type Question = keyof Workshop;
/** What a question is asked with. */
export type Asked<Q extends Question> = Parameters<Workshop[Q]>[0];
/** What it is answered with. */
export type Answer<Q extends Question> = Awaited<ReturnType<Workshop[Q]>>;

/** A question on its way. */
export interface Message<Q extends Question = Question> {
  readonly id: number;
  readonly question: Q;
  readonly asked: Asked<Q>;
}

/** An answer on its way back; `error` if there is none. */
export interface Reply {
  readonly id: number;
  readonly answer?: unknown;
  readonly error?: string;
}
