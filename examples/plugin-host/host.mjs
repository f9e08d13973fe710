/**
 * A host: it calls a chain block by block, with a block size that changes whenever it likes, turns knobs while it plays,
 * saves its session, loads it again and goes on. At the end it has the same samples as one call for everything.
 *
 *     node examples/plugin-host/host.mjs
 */
import { Chain, restoreState, saveState } from 'batterhead/core';
import { Compressor, Gate } from 'batterhead/dynamics';
import { SoftClipper } from 'batterhead/saturation';
import { simulateKit } from 'batterhead/simulation';

const format = { sampleRateHz: 48000, channels: 1 };
const { microphones } = simulateKit({ bars: 1, tailSeconds: 0.5 });
const input = Float32Array.from(microphones.snareTop);

/** A strip as a plug-in would hold it. */
const strip = () => {
  const gate = new Gate(format, { thresholdDb: -32, holdMs: 120, releaseMs: 150, lookaheadMs: 2 });
  const compressor = new Compressor(format, { thresholdDb: -20, ratio: 3, attackMs: 20, releaseMs: 120 });
  const clipper = new SoftClipper(format, { driveDb: 3, oversampling: 4 });
  return { chain: new Chain(format, [gate, compressor, clipper]), compressor };
};

/** Where the user turns the compressor's ratio up, and where the session is saved and loaded. */
const TURN = 24_000;
const RELOAD = 60_000;

/** Everything in as few calls as the knob allows. */
function atOnce() {
  const { chain, compressor } = strip();
  const output = new Float32Array(input.length);
  chain.process([input], [output], { start: 0, end: TURN });
  compressor.set({ ratio: 8 });
  chain.process([input], [output], { start: TURN, end: input.length });
  return { output, latencySamples: chain.latencySamples };
}

/** Block by block, as a host does. */
function blockByBlock() {
  let { chain, compressor } = strip();
  const output = new Float32Array(input.length);
  const sizes = [1, 64, 480, 37, 1024, 128, 0, 511]; // a host may do what it likes
  for (let at = 0, call = 0; at < input.length; call++) {
    if (at === TURN) compressor.set({ ratio: 8 });
    if (at === RELOAD) {
      const session = JSON.stringify(saveState(chain)); // into the host's file, and out of it
      ({ chain, compressor } = strip());
      restoreState(chain, JSON.parse(session));
    }
    const stops = [TURN, RELOAD, input.length].filter((stop) => stop > at);
    const end = Math.min(at + sizes[call % sizes.length], ...stops);
    chain.process([input], [output], { start: at, end });
    at = end;
  }
  return output;
}

const { output, latencySamples } = atOnce();
const played = blockByBlock();
const different = played.filter((sample, n) => !Object.is(sample, output[n])).length;
console.log(`The host must compensate ${latencySamples} samples of latency.`);
console.log(`${input.length} samples, block by block and at once: ${different} differ.`);
process.exitCode = different === 0 ? 0 : 1;
