/**
 * Report of a mix: what was read, what was written, and how loud, how late and how fast it was.
 * @module
 */
import type { MixReport } from '../mix/renderer.ts';

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
}

/** What is told of a mix; `report.json` holds it. */
export interface MixFileReport {
  /** The mix: its file, how loud it is, and how it was rendered. */
  readonly mix: FileReport &
    MixReport & {
      /** Integrated loudness, LUFS; null for silence. */
      readonly loudnessLufs: number | null;
      /** Samples that the format of the file could not hold. */
      readonly clippedSamples: number;
    };
  /** The unprocessed mix. */
  readonly unprocessed: FileReport & {
    /** What brought it to the loudness of the mix, dB; 0 where one of both has none. */
    readonly gainDb: number;
    /** Its integrated loudness as written, LUFS; null for silence. */
    readonly loudnessLufs: number | null;
    /** Its largest magnitude as written, dBFS; null for silence. */
    readonly peakDb: number | null;
  };
  /** The plan that was mixed. */
  readonly plan: FileReport;
  /** By the names of the inputs. */
  readonly inputs: Readonly<Record<string, InputFileReport>>;
  /** The hit list and the samples that the plan names. */
  readonly hitFiles: readonly FileReport[];
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
