/**
 * Mixer processor: the part of a mixer node that lives in the audio thread.
 * @module
 */
import { requireObject } from '../core/json-check.ts';
import { telling } from './chain-processor.ts';
import type { MixerMessage, MixerSettings } from './messages.ts';
import { MeterSink } from './meter-sink.ts';
import { MixerRunner } from './mixer-runner.ts';
import { MIXER_PROCESSOR } from './names.ts';
import type { Ports, WorkletScope } from './scope.ts';

/** Registers the processor of mixer nodes. */
export function registerMixer(scope: WorkletScope): void {
  class MixerProcessor extends scope.AudioWorkletProcessor {
    readonly #runner: MixerRunner;
    readonly #sink: MeterSink | undefined;
    #open = true;

    constructor({ processorOptions }: { processorOptions: MixerSettings }) {
      super();
      const { meters } = processorOptions;
      this.#runner = new MixerRunner(processorOptions, scope.sampleRate);
      if (meters !== undefined)
        this.#sink = new MeterSink(meters, this.#runner.meters, this.#runner.meterHead, this.port);
      this.port.onmessage = ({ data }: MessageEvent<MixerMessage>) => {
        telling(this, () => {
          requireObject('message', data);
          if (data.kind === 'value') this.#runner.setAt(data);
          else if (data.kind === 'meters') this.#sink?.takeBack(data.values);
          else this.#open = false;
        });
      };
    }

    process(inputs: Ports, outputs: Ports): boolean {
      this.#runner.run(inputs, outputs[0], scope.currentFrame);
      this.#sink?.put(outputs[0][0].length);
      return this.#open;
    }
  }
  scope.registerProcessor(MIXER_PROCESSOR, MixerProcessor);
}
