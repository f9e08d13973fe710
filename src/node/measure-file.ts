/**
 * Measures a WAV file, in pieces: memory does not grow with its length.
 * @module
 */
import { loudnessWeights, type LoudspeakerLayout } from '../meters/loudness-weights.ts';
import { type ProgrammeFigures, ProgrammeMeter } from '../meters/programme-meter.ts';
import { WavInput } from './wav-files.ts';

const CHUNK_FRAMES = 16_384;

/** Every figure of a file. */
export interface MeasuredFile extends ProgrammeFigures {
  /** Path of the file. */
  readonly file: string;
  /** Its length in seconds. */
  readonly seconds: number;
  /** The file is shorter than its header says: what is there was measured. */
  readonly truncated: boolean;
}

/** Options of {@link measureFile}. */
export interface MeasureFileOptions {
  /** Which loudspeakers the channels feed; all count alike in the loudness unless given. */
  readonly layout?: LoudspeakerLayout | undefined;
  /** Called now and then with the frames measured and the frames in all. */
  readonly onProgress?: ((done: number, total: number) => void) | undefined;
}

/**
 * Measures a file.
 * @throws Error, with the path, if there is no such file or it is not a WAV file; RangeError or TypeError if the layout
 *   has another number of channels or is unknown
 */
export function measureFile(path: string, { layout, onProgress }: MeasureFileOptions = {}): MeasuredFile {
  const weights = layout === undefined ? undefined : loudnessWeights(layout);
  const input = new WavInput(path);
  try {
    const { sampleRateHz, channels, frames, truncated } = input;
    if (weights && weights.length !== channels) {
      throw new RangeError(`${path}: layout ${layout} needs ${weights.length} channels, the file has ${channels}`);
    }
    const meter = new ProgrammeMeter({ sampleRateHz, channels }, weights);
    const chunk = Array.from({ length: channels }, () => new Float32Array(CHUNK_FRAMES));
    for (let at = 0; at < frames;) {
      const count = input.read(at, chunk, Math.min(CHUNK_FRAMES, frames - at));
      if (count === 0) break;
      meter.process(chunk, 0, count);
      at += count;
      onProgress?.(at, frames);
    }
    return { file: path, seconds: frames / sampleRateHz, truncated, ...meter.figures };
  } finally {
    input.close();
  }
}
