/** Signals that are hard on a limiter. */
import { numbers } from './signals.ts';

/** One of five signals that are hard on a limiter, up to 30 dB above full scale. */
export function adversary(length: number, seed: number): Float32Array {
  const next = numbers(seed);
  const kind = seed % 5;
  const level = 10 ** ((36 * next() - 6) / 20);
  const x = new Float32Array(length);
  const period = 1 + Math.floor(300 * next() ** 3),
    density = next() ** 4;
  let hit = 0,
    phase = 0;
  for (let i = 0; i < length; i++) {
    if (kind === 0) x[i] = level * (2 * next() - 1);
    else if (kind === 1) x[i] = Math.floor(i / period) % 2 ? level : -level;
    else if (kind === 2) x[i] = next() < density ? level * (2 * next() - 1) : 0.01 * next();
    else if (kind === 3) x[i] = Math.floor(i / (7 * period)) % 3 === 0 ? level * (2 * next() - 1) : 0.3 * next();
    else {
      // Drum hits: decaying tones with a click in front, at random times.
      if (next() < 0.0005) hit = level * (0.2 + next());
      phase += 0.01 + 0.05 * hit;
      x[i] = hit * (Math.sin(phase) + 0.3 * (2 * next() - 1));
      hit *= 0.999;
    }
  }
  return x;
}
