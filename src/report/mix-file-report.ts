/**
 * Report of a mix as data: what was read, what was written, how loud, how late and how fast it was, what it is like beside
 * the unprocessed mix, finished tracks and the rest of the song, and what to look at first.
 * @module
 */
import type { ReferenceComparison } from '../comparison/references.ts';
import type { ProgrammeFigures } from '../meters/programme-meter.ts';
import type { InputLevels } from '../mix/metered-input.ts';
import type { MixReport } from '../mix/renderer.ts';
import type { MaskedPart } from './masked-part.ts';
import type { LoudnessOverTime } from './mix-meter.ts';

/** A file that was read or written. */
export interface FileReport {
  /** Path or name of the file. */
  readonly file: string;
  /** SHA-256 of its bytes, in hexadecimal. */
  readonly sha256: string;
}

/** A WAV file that was read. */
export interface InputFileReport extends FileReport {
  /** The file is shorter than its header says: a copy that broke off, or a recorder that stopped. */
  readonly truncated: boolean;
  /** What was read of it; no frame if nothing listens to it. */
  readonly levels: InputLevels;
}

/** What a finished sound is like. */
export interface SoundReport {
  /** Every figure; -Infinity, in JSON null, stands for silence. */
  readonly figures: ProgrammeFigures;
  /** Integrated loudness, LUFS; null for silence. */
  readonly loudnessLufs: number | null;
  /** Its loudness over time. */
  readonly loudness: LoudnessOverTime;
}

/** How much harm something does. */
export type Harm = 'spoilt' | 'doubtful' | 'notable';

/** What deserves a look. */
export interface Warning {
  /** How much harm it does. */
  readonly harm: Harm;
  /** A fact. */
  readonly text: string;
}

/** What is told of a mix; `report.json` holds it. */
export interface MixFileReport {
  /** The mix: its file, how loud it is, and how it was rendered. */
  readonly mix: FileReport &
    MixReport &
    SoundReport & {
      /** Samples that the format of the file could not hold. */
      readonly clippedSamples: number;
    };
  /** The unprocessed mix as written. */
  readonly unprocessed: FileReport &
    SoundReport & {
      /** What brought it to the loudness of the mix, dB; 0 where one of both has none. */
      readonly gainDb: number;
      /** Its largest magnitude, dBFS; null for silence. */
      readonly peakDb: number | null;
    };
  /** The plan that was mixed. */
  readonly plan: FileReport;
  /** By the names of the inputs. */
  readonly inputs: Readonly<Record<string, InputFileReport>>;
  /** The hit list and the samples that the plan names. */
  readonly hitFiles: readonly FileReport[];
  /** The mix among its references, where the plan names any. */
  readonly references?: {
    /** In the order of the plan. */
    readonly files: readonly FileReport[];
    /** Where the mix lies; nothing if it is silent. */
    readonly comparison?: ReferenceComparison;
  };
  /** What the context covers of the mix, where the plan names one. */
  readonly context?: {
    /** By the names of the stems. */
    readonly files: Readonly<Record<string, FileReport>>;
    /** All of the mix, then the hits of each drum. */
    readonly parts: readonly MaskedPart[];
  };
  /** What to look at, the most harmful first. */
  readonly warnings: readonly Warning[];
  /** How fast it was. */
  readonly speed: {
    /** Length of the mix in seconds. */
    readonly mixSeconds: number;
    /** How long rendering took, in seconds. */
    readonly renderSeconds: number;
    /** The one over the other. */
    readonly timesRealTime: number;
  };
}
