/** A scope that is made here: what an audio thread would do with the processors. */
import { registerBlocks } from '../../src/worklet/block-processor.ts';
import { registerChain } from '../../src/worklet/chain-processor.ts';
import { registerMixer } from '../../src/worklet/mixer-processor.ts';
import type { ScopeProcessor, WorkletScope } from '../../src/worklet/scope.ts';

interface Running extends ScopeProcessor {
  process(inputs: Float32Array[][], outputs: Float32Array[][], params?: Record<string, Float32Array>): boolean;
}

/** A scope, what its processors have posted, and a way to make one of them. */
export function madeScope() {
  const classes = new Map<string, new (options: object) => Running>();
  const posted: { kind: string; values: Float64Array; message: string }[] = [];
  const scope = {
    sampleRate: 48000,
    currentFrame: 0,
    AudioWorkletProcessor: class {
      readonly port = { postMessage: (message: never) => posted.push(message), onmessage: undefined };
    },
    registerProcessor: (name: string, made: never) => classes.set(name, made),
  };
  registerChain(scope as unknown as WorkletScope);
  registerBlocks(scope as unknown as WorkletScope);
  registerMixer(scope as unknown as WorkletScope);
  const make = (name: string, settings: object) => {
    const Made = classes.get(name) as new (options: object) => Running;
    const defaults = { channels: 1, keyChannels: 1, automation: [] };
    return new Made({ processorOptions: { ...defaults, ...settings } });
  };
  const tell = (processor: Running, data: object) => processor.port.onmessage?.({ data } as MessageEvent);
  return { scope, classes, posted, make, tell };
}
