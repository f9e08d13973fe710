/**
 * The script that an audio context loads: registers every processor.
 * @module
 */
import { registerBlocks } from './block-processor.ts';
import { registerChain } from './chain-processor.ts';
import { registerMixer } from './mixer-processor.ts';
import { workletScope } from './scope.ts';

registerChain(workletScope());
registerBlocks(workletScope());
registerMixer(workletScope());
