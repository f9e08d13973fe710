/**
 * Chain processor: the part of a chain node that lives in the audio thread.
 * @module
 */
import { requireObject } from '../core/json-check.ts';
import { ChainRunner } from './chain-runner.ts';
import type { ChainMessage, ChainSettings, NodeMessage } from './messages.ts';
import { CHAIN_HEAD } from './meter-layout.ts';
import { MeterSink } from './meter-sink.ts';
import { CHAIN_PROCESSOR } from './names.ts';
import type { Ports, ScopeProcessor, WorkletScope } from './scope.ts';

/** Registers the processor of chain nodes. */
export function registerChain(scope: WorkletScope): void {
  class ChainProcessor extends scope.AudioWorkletProcessor {
    readonly #runner: ChainRunner;
    readonly #sink: MeterSink | undefined;
    #open = true;

    constructor({ processorOptions }: { processorOptions: ChainSettings }) {
      super();
      this.#runner = new ChainRunner(processorOptions, scope.sampleRate);
      const { meters } = processorOptions;
      if (meters !== undefined) this.#sink = new MeterSink(meters, this.#runner.meters, CHAIN_HEAD, this.port);
      this.port.onmessage = ({ data }: MessageEvent<ChainMessage>) => {
        telling(this, () => {
          requireObject('message', data);
          if (data.kind === 'reset') this.#runner.chain.reset();
          else if (data.kind === 'close') this.#open = false;
          else if (data.kind === 'meters') this.#sink?.takeBack(data.values);
          else this.#runner.setAt(data.block, data.options, data.frame);
        });
      };
    }

    /** Ends on demand only: a processor that once says it has ended is not always called again for a new input. */
    process(inputs: Ports, outputs: Ports): boolean {
      this.#runner.run(inputs[0], outputs[0], inputs[1], scope.currentFrame);
      this.#sink?.put(outputs[0][0].length);
      return this.#open;
    }
  }
  scope.registerProcessor(CHAIN_PROCESSOR, ChainProcessor);
}

/** Tells the page what was refused, instead of stopping the audio. */
export function telling({ port }: ScopeProcessor, act: () => void): void {
  try {
    act();
  } catch (error) {
    port.postMessage({ kind: 'refused', message: String(error) } satisfies NodeMessage);
  }
}
