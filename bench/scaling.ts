/**
 * `npm run bench:scaling`: the session with 1 to 192 tracks, and from 10 s to 1 h long, each in a process of its own. Inputs
 * are made while they are read, the mix goes nowhere. Writes `bench/scaling.json` and its table in `docs/performance.md`.
 */
import { execFileSync } from 'node:child_process';
import { writeFileSync } from 'node:fs';
import { estimateCost } from '../src/mix/estimate-cost.ts';
import { parsePlan } from '../src/mix/parse-plan.ts';
import { renderMix } from '../src/mix/renderer.ts';
import { processorTime } from './contestant.ts';
import { writePage } from './performance-page.ts';
import { type ScalingResult, SCALING_FILE } from './results.ts';
import { SESSION_TRACKS, sessionJson, takes } from './session.ts';
import { RATE_HZ } from './sound.ts';

const WARM_UP_SECONDS = 2;

const cases = [
  ...[1, SESSION_TRACKS, 48, 192].map((tracks) => ({ tracks, seconds: 10 })),
  ...[60, 600, 3600].map((seconds) => ({ tracks: SESSION_TRACKS, seconds })),
];

function measure(tracks: number, seconds: number): ScalingResult {
  const plan = parsePlan(sessionJson(tracks));
  const sink = { write: () => {} };
  renderMix(plan, takes(plan, WARM_UP_SECONDS), sink);
  const inputs = takes(plan, seconds);
  const began = processorTime();
  const { frames } = renderMix(plan, inputs, sink);
  const nanoseconds = (processorTime() - began) / frames;
  const estimated = (1e9 * estimateCost(plan, { sampleRateHz: RATE_HZ }).coreShare) / RATE_HZ;
  return { tracks, seconds, nanoseconds, estimated, peakMegabytes: process.resourceUsage().maxRSS / 1024 };
}

const [first, tracks, seconds] = process.argv.slice(2);
if (first === '--case') console.log(JSON.stringify(measure(Number(tracks), Number(seconds))));
else {
  const results = cases.map((each) => {
    const parameters = [process.argv[1], '--case', String(each.tracks), String(each.seconds)];
    const text = execFileSync(process.execPath, parameters, { encoding: 'utf8' });
    console.log(text.trim());
    return JSON.parse(text) as ScalingResult;
  });
  writeFileSync(SCALING_FILE, `${JSON.stringify(results, null, 2)}\n`);
  writePage();
}
