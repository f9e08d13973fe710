/**
 * Figures of a rendering: what a prepared failure makes worse and its cure better.
 *
 * @module
 */
import { BiquadCascade, butterworthLowpass } from 'batterhead/filters';
import { kaiser } from 'batterhead/core';
import { type BlockSettings, makeBlock, type Rendering, type Sound } from './render.ts';
import { bandCentres, bandLevels, binPowers } from './spectrum.ts';

/** How often the gain comes up past -6 dB: a gate that opens, or an expander. */
export function countOpenings({ trace }: Rendering): number {
  const gain = trace?.gainDb ?? [];
  let count = 0,
    open = false;
  for (const value of gain) {
    if (!open && value > -6) count++;
    open = value > -6;
  }
  return count;
}

/** How far the gain moves up and down: from its 5th to its 95th percentile, in dB. */
export function gainSwing({ trace }: Rendering): number {
  const sorted = (trace?.gainDb ?? new Float32Array(1)).slice().sort();
  return percentile(sorted, 95) - percentile(sorted, 5);
}

/** How much later a pulse comes out of the block than from the input beside it, in ms. */
export function copyDelay(settings: BlockSettings, { input, latencySamples }: Rendering, inTime: boolean): number {
  const { sampleRateHz } = input;
  const pulse = new Float32Array(sampleRateHz);
  pulse[0] = 0.001;
  const block = makeBlock(settings, { sampleRateHz, channels: 1 });
  block.process([pulse], [pulse]);
  let peak = 0;
  for (let i = 0; i < pulse.length; i++) if (Math.abs(pulse[i]) > Math.abs(pulse[peak])) peak = i;
  return (1000 * (peak - (inTime ? latencySamples : 0))) / sampleRateHz;
}

/** How far the deepest notch between 60 Hz and 2 kHz lies below the middle of what comes out over what goes in, in dB. */
export function notchDepth({ input, output }: Rendering): number {
  const centres = bandCentres(input.sampleRateHz);
  const before = bandLevels(input),
    after = bandLevels(output);
  const loudest = Math.max(...before);
  const gains = after
    .map((level, b) => level - before[b])
    .filter((_, b) => centres[b] >= 60 && centres[b] <= 2000 && before[b] > loudest - 60)
    .sort();
  return percentile(gains, 50) - gains[0];
}

/**
 * Level of the worst line below 20 kHz that is no harmonic, relative to the tone, in dB: a Kaiser window of beta 28 over
 * 65536 samples, 25 Hz on either side of harmonics and of 0 Hz left out.
 */
export function worstAlias({ output }: Rendering, frequencyHz: number): number {
  const { sampleRateHz, channels } = output;
  const size = 65_536;
  const middle = Math.max(0, Math.floor((channels[0].length - size) / 2));
  const steady: Sound = { sampleRateHz, channels: [channels[0].subarray(middle, middle + size)] };
  const powers = binPowers(steady, kaiser(size, 28, { periodic: true }));
  let tone = 0,
    worst = 0;
  for (let k = 0; k < powers.length; k++) {
    const hz = (k * sampleRateHz) / size;
    const order = Math.round(hz / frequencyHz);
    const off = Math.abs(hz - order * frequencyHz);
    if (order === 1 && off <= 25) tone = Math.max(tone, powers[k]);
    if (off > 25 && hz > 25 && hz < 20_000) worst = Math.max(worst, powers[k]);
  }
  return 10 * Math.log10(worst / tone);
}

/** How far what lies below 120 Hz falls between the hits: 20th below 95th percentile of its level in 50 ms, in dB. */
export function lowEndFall({ output }: Rendering): number {
  const { sampleRateHz, channels } = output;
  const low = new Float64Array(channels[0].length);
  const filter = new BiquadCascade(
    { sampleRateHz, channels: 1 },
    butterworthLowpass({ sampleRateHz, frequencyHz: 120, order: 4 }),
  );
  filter.process([channels[0]], [low]);
  const piece = Math.round(0.05 * sampleRateHz);
  const levels = Float64Array.from({ length: Math.floor(low.length / piece) }, (_, p) => {
    const power = low.subarray(p * piece, (p + 1) * piece).reduce((sum, x) => sum + x * x, 0) / piece;
    return 10 * Math.log10(power + 1e-20);
  }).sort();
  return percentile(levels, 20) - percentile(levels, 95);
}

/** Largest magnitude, in dBFS. */
export function peakDb({ channels }: Sound): number {
  let peak = 0;
  for (const x of channels) for (const value of x) if (Math.abs(value) > peak) peak = Math.abs(value);
  return 20 * Math.log10(peak);
}

function percentile(sorted: ArrayLike<number>, percent: number): number {
  return sorted[Math.round(((sorted.length - 1) * percent) / 100)];
}
