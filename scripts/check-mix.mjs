/**
 * Checks what `npm start` has made, with a codec of other people: `out/mix.wav` is a stereo file of 24 bits at 48 kHz, whole,
 * not silent, and nowhere above the ceiling of the limiter that ends its plan. The report says that the two microphones of the
 * snare, aligned, gain in the lows what they should.
 */
import { strict as assert } from 'node:assert';
import { readFileSync } from 'node:fs';
import { decodeWaveToBuffer, decodeWaveToFloat32Channels } from '@echogarden/wave-codec';

/** Dither may lift a sample by two steps of 24 bits; the codec rounds to Float32, half a step near 1. */
const TOLERANCE = 2.5 / 2 ** 23;
/** Below this the mix would be as good as silent: -40 dBFS. */
const LEAST_RMS = 0.01;

/** @type {{ mixBus: { chain: { type: string, ceilingDb: number }[] } }} */
const plan = JSON.parse(readFileSync('out/plan.json', 'utf8'));
const last = plan.mixBus.chain.at(-1);
assert.equal(last?.type, 'limiter', 'the plan must end with a limiter');
const ceiling = 10 ** (last.ceilingDb / 20);

const bytes = readFileSync('out/mix.wav');
const { channelCount, sampleRate, bitDepth } = decodeWaveToBuffer(bytes);
assert.deepEqual({ channelCount, sampleRate, bitDepth }, { channelCount: 2, sampleRate: 48000, bitDepth: 24 });

const { audioChannels } = decodeWaveToFloat32Channels(bytes);
assert.equal(audioChannels.length, 2);
for (const [c, channel] of audioChannels.entries()) {
  let peak = 0,
    energy = 0;
  for (const x of channel) {
    assert.ok(Number.isFinite(x), `channel ${c} must be finite`);
    peak = Math.max(peak, Math.abs(x));
    energy += x * x;
  }
  const rms = Math.sqrt(energy / channel.length);
  assert.ok(rms > LEAST_RMS, `channel ${c} must not be silent, got an rms of ${rms}`);
  assert.ok(peak <= ceiling + TOLERANCE, `channel ${c} must stay below ${ceiling}, got ${peak}`);
  console.log(`channel ${c}: rms ${rms.toFixed(4)}, peak ${peak.toFixed(4)}, ceiling ${ceiling.toFixed(4)}`);
}

/** Least gain from 100 to 300 Hz, in dB, and least share of what the levels of the two allow. */
const LEAST_GAIN_DB = 6;
const LEAST_SHARE = 0.9;

/** @typedef {{ reference: string, other: string, low: { beforeDb: number, gainDb: number } }} Pair */
/** @type {{ mix: { alignment: { pairs: Pair[] } } }} */
const report = JSON.parse(readFileSync('out/report.json', 'utf8'));
const snare = report.mix.alignment.pairs.find(({ other }) => other === 'snareBottom');
assert.ok(snare, 'the report must tell of the two microphones of the snare');
const { beforeDb, gainDb } = snare.low;
assert.ok(gainDb >= LEAST_GAIN_DB, `the snare's lows must gain ${LEAST_GAIN_DB} dB, got ${gainDb}`);
assert.ok(
  gainDb >= LEAST_SHARE * beforeDb,
  `the snare's lows must gain ${LEAST_SHARE} of ${beforeDb} dB, got ${gainDb}`,
);
console.log(`${snare.reference} + ${snare.other}: the lows gain ${gainDb.toFixed(1)} of ${beforeDb.toFixed(1)} dB`);
