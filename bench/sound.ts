/** Sound to measure with: like a drum microphone, and the same every time. */
import { noise } from '../tests/support/signals.ts';

export const RATE_HZ = 48000;
export const BLOCK = 128;

const STROKES_PER_SECOND = 4;
const STROKE_DECAY_SECONDS = 0.06;
const BLEED = 0.02; // -34 dB

/** Strokes of decaying noise and of a gliding tone, near full scale, over steady bleed. */
export function drumSound(frames: number, seed: number): Float64Array {
  const bright = noise(frames, seed);
  const apart = Math.round(RATE_HZ / STROKES_PER_SECOND);
  const offset = (seed * 997) % apart;
  return bright.map((x, n) => {
    const seconds = ((n + offset) % apart) / RATE_HZ;
    const envelope = Math.exp(-seconds / STROKE_DECAY_SECONDS);
    const body = Math.sin(2 * Math.PI * (80 * seconds + 2 * (1 - Math.exp(-seconds * 30))));
    return envelope * (0.6 * body + 0.35 * x) + BLEED * x;
  });
}

/** A second of it, cut into blocks of `channels` arrays of 32-bit floats. */
export function drumBlocks(channels: number): Float32Array[][] {
  const sounds = Array.from({ length: channels }, (_, c) => Float32Array.from(drumSound(RATE_HZ, c + 1)));
  return Array.from({ length: RATE_HZ / BLOCK }, (_, b) =>
    sounds.map((sound) => sound.slice(b * BLOCK, (b + 1) * BLOCK)),
  );
}
