/**
 * The residue of a glide: what is left above 10 kHz of the output of a chain, as an audio thread runs it, while a
 * parameter moves, less the two static outputs weighted by the glide.
 */
import { glideSamples, shareToCome } from '../../src/core/glide.ts';
import { ChainRunner } from '../../src/worklet/chain-runner.ts';
import { peakAboveTenKilohertz } from '../filters/above-ten-kilohertz.ts';

export const RATE = 48000;
const MOVE = 12_000;
const END = MOVE + 4800;
/** The filter that leaves what is above 10 kHz has 511 taps. */
const BEFORE = 600;

/** Low enough to leave nothing above 10 kHz by itself. */
const toneOf = (amplitude: number) =>
  Float32Array.from({ length: END }, (_, n) => amplitude * Math.sin((2 * Math.PI * 80 * n) / RATE));

function play(tone: Float32Array, block: object, name: string, from: number, to: number) {
  const set = (value: number, frame: number) => ({ block: 0, options: { [name]: value }, frame });
  const channels = 2;
  const automation = [set(from, 0), set(to, MOVE)];
  const runner = new ChainRunner({ chain: [block], channels, keyChannels: channels, automation }, RATE);
  const y = [new Float32Array(END), new Float32Array(END)];
  for (let frame = 0; frame < END; frame += 128) {
    const end = Math.min(END, frame + 128);
    const x = tone.subarray(frame, end);
    runner.run(
      [x, x],
      y.map((side) => side.subarray(frame, end)),
      [],
      frame,
    );
  }
  return { y: y[0], latency: runner.chain.latencySamples };
}

/** Residues, in dBFS, of the moves from `low` to `high` and back. */
export function clickResidues(
  block: object,
  name: string,
  low: number,
  high: number,
  amplitude = 1,
): readonly [number, number] {
  const length = glideSamples(RATE),
    tone = toneOf(amplitude);
  const statics = { [low]: play(tone, block, name, low, low).y, [high]: play(tone, block, name, high, high).y };
  const residue = (from: number, to: number): number => {
    const { y, latency } = play(tone, block, name, from, to);
    const before = statics[from],
      after = statics[to];
    const rest = Float64Array.from({ length: END - MOVE + BEFORE }, (_, i) => {
      const n = MOVE - BEFORE + i;
      const left = Math.min(length, Math.max(0, MOVE + latency + length - 1 - n));
      const w = left === length ? 0 : 1 - shareToCome(left, length);
      return y[n] - before[n] - w * (after[n] - before[n]);
    });
    return peakAboveTenKilohertz(rest, RATE);
  };
  return [residue(low, high), residue(high, low)];
}
