/**
 * What an AudioWorkletGlobalScope offers, as far as the processor script uses it.
 *
 * Written here because the usual declarations of that scope and of a page contradict each other.
 *
 * @module
 */

/** Base class of all processors. */
export interface ScopeProcessor {
  readonly port: MessagePort;
}

/** Arrays of one quantum: for each input or output, its channels. */
export type Ports = readonly (readonly Float32Array[])[];

/** A row that becomes an AudioParam. */
export interface ParamDescriptor {
  readonly name: string;
  readonly defaultValue: number;
  readonly minValue: number;
  readonly maxValue: number;
  readonly automationRate: 'k-rate';
}

/** The scope. */
export interface WorkletScope {
  readonly sampleRate: number;
  readonly currentFrame: number;
  readonly AudioWorkletProcessor: new () => ScopeProcessor;
  registerProcessor(name: string, constructor: new (options: never) => ScopeProcessor): void;
}

/** The scope that this script runs in. */
export function workletScope(): WorkletScope {
  return globalThis as unknown as WorkletScope;
}
