/**
 * Report of a mix: what was read, what was written, and how loud, how late and how fast it was.
 * @module
 */
import type { MixReport } from '../mix/renderer.ts';

/** A file that was read or written. */
export interface FileReport {
  readonly file: string;
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
  readonly mix: FileReport & MixReport & { readonly loudnessLufs: number | null; readonly clippedSamples: number };
  /** The unprocessed mix: `gainDb` brought it to the loudness of the mix, or is 0 where one of both has none. */
  readonly unprocessed: FileReport & {
    readonly gainDb: number;
    readonly loudnessLufs: number | null;
    readonly peakDb: number | null;
  };
  readonly plan: FileReport;
  /** By the names of the inputs. */
  readonly inputs: Readonly<Record<string, InputFileReport>>;
  /** Length of the mix, and how long rendering it took: their ratio is the speed in multiples of real time. */
  readonly speed: { readonly mixSeconds: number; readonly renderSeconds: number; readonly timesRealTime: number };
}
