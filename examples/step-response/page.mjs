/**
 * A lesson as a page: what attack and release mean. Every picture is what the library itself computes, and the text
 * quotes the numbers that it found.
 *
 *     node examples/step-response/page.mjs [file]
 */
import { mkdirSync, renameSync, writeFileSync } from 'node:fs';
import { dirname } from 'node:path';
import { timeConstantFromNinety, timeConstantFromRise } from 'batterhead/core';
import { Compressor, EnvelopeFollower } from 'batterhead/dynamics';
import { drawChart, timeChart } from 'batterhead/plots';

const file = process.argv[2] ?? 'out/step-response.html';
const RATE = 48_000;
const format = { sampleRateHz: RATE, channels: 1 };
const ATTACK_MS = 10;
const step = new Float64Array(RATE / 4).fill(1, RATE / 100, RATE / 8); // from 10 to 125 ms

/** The envelope of the step. @param {number} attackMs @param {number} releaseMs */
function envelope(attackMs, releaseMs) {
  const follower = new EnvelopeFollower(format, { attackMs, releaseMs });
  const output = new Float64Array(step.length);
  follower.process([step], [output]);
  return output;
}

/** Milliseconds from the step until a rising curve passes a share of it. @param {Float64Array} curve @param {number} share */
const timeTo = (curve, share) => (1000 * (curve.findIndex((v) => v >= share) - RATE / 100)) / RATE;

const definitions = [
  { name: 'time constant: 63.2 %', attackMs: ATTACK_MS },
  { name: '10 to 90 %', attackMs: timeConstantFromRise(ATTACK_MS) },
  { name: '0 to 90 %', attackMs: timeConstantFromNinety(ATTACK_MS) },
].map((definition) => ({ ...definition, values: envelope(definition.attackMs, 50) }));

/** Gain of a compressor over the same step. @param {number} attackMs */
function gain(attackMs) {
  const compressor = new Compressor(format, { thresholdDb: -20, ratio: 4, attackMs, releaseMs: 50 });
  const gainDb = new Float64Array(step.length);
  compressor.process([step], [new Float64Array(step.length)], {
    trace: { levelDb: [new Float64Array(step.length)], gainDb: [gainDb] },
  });
  return gainDb;
}

const traces = definitions.map(({ name, values }) => ({ name, values }));
const pictures = {
  definitions: drawChart(
    timeChart({
      title: 'One number, three meanings',
      label: 'Envelope',
      sampleRateHz: RATE,
      traces,
      rules: [{ seconds: 0.01 + ATTACK_MS / 1000, label: '10 ms' }],
    }),
  ),
  compressor: drawChart(
    timeChart({
      title: 'Gain of a compressor, threshold -20 dB, ratio 4',
      label: 'Gain (dB)',
      sampleRateHz: RATE,
      traces: [1, 10, 30].map((attackMs) => ({ name: `attack ${attackMs} ms`, values: gain(attackMs) })),
    }),
  ),
};
const rows = definitions.map(
  ({ name, values }) =>
    `<tr><th scope="row">${name}</th>${[0.1, 0.632, 0.9].map((share) => `<td>${timeTo(values, share).toFixed(2)} ms</td>`).join('')}</tr>`,
);

const page = `<!doctype html>
<html lang="en">
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta name="color-scheme" content="light dark">
<title>What attack means</title>
<style>
  body { max-width: 44rem; margin: 2rem auto; padding: 0 1rem; font: 1rem/1.6 Georgia, serif; }
  svg { max-width: 100%; height: auto; }
  table { border-collapse: collapse; } th, td { padding: 0.3rem 0.8rem; text-align: left; border-bottom: 1px solid; }
</style>
<h1>What attack means</h1>
<p>A detector follows a step by y[n] = x[n] + a (y[n-1] - x[n]). "An attack of ${ATTACK_MS} ms" is said of three different
times, and they make three different detectors.</p>
<figure>${pictures.definitions}</figure>
<table>
<caption>Measured on these curves</caption>
<thead><tr><th scope="col">attack given as</th><th scope="col">to 10 %</th><th scope="col">to 63.2 %</th><th scope="col">to 90 %</th></tr></thead>
<tbody>${rows.join('\n')}</tbody>
</table>
<p>A compressor smooths its gain in decibels with the same rule. The step asks for ${(20 * 0.75).toFixed(0)} dB less; after one
attack time 63.2 % of that is done, whatever the ratio. A drum's hit is over after a few milliseconds: an attack of 1 ms
takes it down, one of 30 ms lets it through.</p>
<figure>${pictures.compressor}</figure>
</html>
`;
mkdirSync(dirname(file), { recursive: true });
writeFileSync(`${file}.new`, page);
renameSync(`${file}.new`, file);
console.log(`Open ${file} in a browser.`);
