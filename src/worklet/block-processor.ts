/**
 * Block processor: one block whose parameters follow AudioParams, once per quantum.
 * @module
 */
import { blockTypes } from '../blocks/block-types.ts';
import type { ParameterTable } from '../core/parameters.ts';
import { automated, paramDescriptors, parameterValue } from './block-params.ts';
import { telling } from './chain-processor.ts';
import { ChainRunner } from './chain-runner.ts';
import type { ChainMessage, ChainSettings } from './messages.ts';
import { blockProcessor } from './names.ts';
import type { Ports, WorkletScope } from './scope.ts';

/** Registers a processor for every block type. */
export function registerBlocks(scope: WorkletScope): void {
  for (const [type, { parameters }] of Object.entries(blockTypes)) registerBlock(scope, type, parameters);
}

function registerBlock(scope: WorkletScope, type: string, table: ParameterTable): void {
  const rows = automated(table);

  class BlockProcessor extends scope.AudioWorkletProcessor {
    static get parameterDescriptors() {
      return paramDescriptors(table, scope.sampleRate);
    }
    readonly #runner: ChainRunner;
    readonly #last: Float32Array; // values as of the quantum before
    #open = true;

    constructor({ processorOptions }: { processorOptions: ChainSettings }) {
      super();
      this.#runner = new ChainRunner(processorOptions, scope.sampleRate);
      const [block] = processorOptions.chain as readonly Readonly<Record<string, unknown>>[];
      this.#last = Float32Array.from(rows, ([name]) => Number(block[name] ?? NaN));
      this.port.onmessage = ({ data }: MessageEvent<ChainMessage>) => {
        if (data.kind === 'close') this.#open = false;
      };
    }

    process(inputs: Ports, outputs: Ports, params: Readonly<Record<string, Float32Array>>): boolean {
      this.#follow(params);
      this.#runner.run(inputs[0], outputs[0], inputs[1], scope.currentFrame);
      return this.#open;
    }

    /** Sets what has changed since the quantum before. */
    #follow(params: Readonly<Record<string, Float32Array>>): void {
      const last = this.#last;
      let changed: Record<string, number | boolean> | undefined;
      for (let r = 0; r < rows.length; r++) {
        const [name, row] = rows[r];
        const value = params[name][0];
        if (value === last[r]) continue;
        last[r] = value;
        changed ??= {};
        changed[name] = parameterValue(row, value, scope.sampleRate);
      }
      if (changed) telling(this, () => this.#runner.chain.set({ 0: changed }));
    }
  }
  scope.registerProcessor(blockProcessor(type), BlockProcessor);
}
