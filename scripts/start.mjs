/**
 * `npm start`: simulates the demo kit into `out/` and mixes it by the plan that is there, at first the demo plan. `npm start
 * -- --recorded` puts recorded strokes in place of the voices of the simulated drums; room, microphones, player and plan
 * stay the same.
 */
import { spawnSync } from 'node:child_process';
import { existsSync } from 'node:fs';
import { parseArgs } from 'node:util';
import { resample } from '../dist/index.js';
import { simulateFolder, simulationSummary } from '../dist/node/index.js';
import { recordedStrokes } from './recorded-strokes.mjs';

const PLAN = 'out/plan.json';
const { values } = parseArgs({ options: { recorded: { type: 'boolean', default: false } } });

if (existsSync(PLAN)) console.log(`${PLAN} stays as it is; remove it to begin with the demo plan again.`);
if (values.recorded) {
  console.log('Decoding recorded strokes and playing them in the simulated room ...');
  console.log(simulationSummary(simulateFolder('out', { oneShots: await recordedStrokes(resample) })));
} else {
  batterhead('simulate', 'out');
}
console.log();
batterhead('mix', PLAN);
console.log('\nListen to out/mix.wav, then to out/unprocessed.wav at the same loudness. Begin at a low volume.');

/** Runs the command line of this package. @param {string[]} args */
function batterhead(...args) {
  const { status } = spawnSync(process.execPath, ['dist/cli.cjs', ...args], { stdio: 'inherit' });
  if (status !== 0) process.exit(status ?? 1);
}
