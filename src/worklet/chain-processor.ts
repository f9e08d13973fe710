/**
 * Chain processor: the part of a chain node that lives in the audio thread.
 * @module
 */
import { ChainRunner } from './chain-runner.ts';
import type { ChainMessage, ChainSettings, NodeMessage } from './messages.ts';
import { clearMeters } from './metered-block.ts';
import { SharedMeters } from './meter-layout.ts';
import { CHAIN_PROCESSOR } from './names.ts';
import type { Ports, ScopeProcessor, WorkletScope } from './scope.ts';

/** Meter values that may be on their way to the page at once. */
const MESSAGES_UNDERWAY = 2;

/** Registers the processor of chain nodes. */
export function registerChain(scope: WorkletScope): void {
  class ChainProcessor extends scope.AudioWorkletProcessor {
    readonly #runner: ChainRunner;
    readonly #sink: MeterSink | undefined;
    #open = true;

    constructor({ processorOptions }: { processorOptions: ChainSettings }) {
      super();
      this.#runner = new ChainRunner(processorOptions, scope.sampleRate);
      this.#sink = processorOptions.meters && new MeterSink(processorOptions.meters, this.#runner.meters, this.port);
      this.port.onmessage = ({ data }: MessageEvent<ChainMessage>) => {
        if (data.kind === 'reset') this.#runner.chain.reset();
        else if (data.kind === 'close') this.#open = false;
        else if (data.kind === 'meters') this.#sink?.takeBack(data.values);
        else telling(this, () => this.#runner.setAt(data.block, data.options, data.frame));
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

/** Hands meter values to the page every so often, without making garbage. */
class MeterSink {
  readonly #every: number;
  readonly #values: Float64Array;
  readonly #port: MessagePort;
  readonly #shared: SharedMeters | undefined;
  readonly #free: Float64Array[] = [];
  #frames = 0;

  constructor({ everyFrames, shared }: NonNullable<ChainSettings['meters']>, values: Float64Array, port: MessagePort) {
    this.#every = everyFrames;
    this.#values = values;
    this.#port = port;
    this.#shared = shared && new SharedMeters(shared);
    for (let i = 0; i < MESSAGES_UNDERWAY; i++) this.#free.push(new Float64Array(values.length));
  }

  takeBack(values: Float64Array): void {
    this.#free.push(values);
  }

  /** Notes that so many frames have passed. Values that cannot go yet go on gathering. */
  put(frames: number): void {
    this.#frames += frames;
    if (this.#frames < this.#every) return;
    if (this.#shared) this.#shared.write(this.#values);
    else {
      const values = this.#free.pop();
      if (!values) return;
      values.set(this.#values);
      this.#port.postMessage({ kind: 'meters', values } satisfies NodeMessage, [values.buffer]);
    }
    this.#frames = 0;
    clearMeters(this.#values);
  }
}
