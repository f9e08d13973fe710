/**
 * A progress bar on the terminal; nothing where standard error is not a terminal.
 * @module
 */
import { Presets, SingleBar } from 'cli-progress';

/** Shows how far a stage has come. */
export interface ProgressBar {
  readonly show: (stage: string, done: number, total: number) => void;
  readonly stop: () => void;
}

/** Makes a bar on standard error. */
export function progressBar(): ProgressBar {
  const bar = new SingleBar(
    {
      format: '{stage} {bar} {percentage} %',
      noTTYOutput: false,
      clearOnComplete: true,
      hideCursor: true,
      stream: process.stderr,
    },
    Presets.shades_classic,
  );
  let current = '';
  return {
    show(stage, done, total) {
      if (stage !== current) {
        bar.stop();
        bar.start(total, 0, { stage });
        current = stage;
      }
      bar.update(done, { stage });
    },
    stop() {
      bar.stop();
    },
  };
}
