/**
 * Hit layers: plays the samples that were placed on hits, under or instead of the microphone.
 *
 *     microphone --> [ bands ] --> x 1 - blend depth w(n) --+--> output
 *                                                           |
 *     placements --> sample x gain x polarity x choke ------+        w = hit window
 *
 * All is known beforehand, so nothing is late: the latency is 0. The microphone is split into bands only where it is
 * replaced with a different blend of each; it then passes the crossover's all-pass throughout.
 *
 * @module
 */
import { dbToGain } from '../core/decibels.ts';
import { shareToCome } from '../core/glide.ts';
import { BLOCK } from '../core/pieces.ts';
import type { Side } from '../core/processor.ts';
import { Shell } from '../core/shell.ts';
import { millisecondsToSamples } from '../core/time.ts';
import { BiquadCascade } from '../filters/biquad-cascade.ts';
import { linkwitzRiley } from '../filters/crossover.ts';
import { HitWindow } from './hit-window.ts';
import { splits } from './layer-parameters.ts';
import type { PlacedLayers } from './place-layers.ts';

/** A sample that plays. */
interface Voice {
  readonly samples: Float64Array;
  readonly start: number;
  /** Behind its last sample. */
  readonly end: number;
  /** Where it begins to fade; its end if nothing chokes it. */
  readonly fadeFrom: number;
  /** Gain with the polarity. */
  readonly gain: number;
}

/** Renders placed samples into a stream whose first sample is that of the recording; every channel gets them alike. */
export class HitLayers extends Shell {
  readonly #voices: readonly Voice[];
  readonly #fadeSamples: number;
  readonly #position = this.memory(1);
  readonly #longest: number; // of all voices
  readonly #window: HitWindow | undefined;
  readonly #depths: readonly [low: number, high: number];
  readonly #lows: BiquadCascade | undefined;
  readonly #highs: BiquadCascade | undefined;
  readonly #band: Float64Array[];
  readonly #left = new Float64Array(BLOCK);
  readonly #side: Side = { trusted: true, end: 0 };
  readonly #ends: readonly number[]; // by when this voice, and all before it, have ended
  #first = 0; // the first voice that may still sound: follows from the position

  /** @param channels - of the microphone, 1 to 64 */
  constructor(placed: PlacedLayers, channels = 1) {
    const { sampleRateHz, values, placements } = placed;
    super('HitLayers', { sampleRateHz, channels });
    this.#fadeSamples = millisecondsToSamples(values.chokeMs, sampleRateHz);
    this.#voices = voicesOf(placed, this.#fadeSamples);
    let latest = -Infinity;
    this.#ends = this.#voices.map(({ end }) => (latest = Math.max(latest, end)));
    this.#longest = this.#voices.reduce((most, { start, end }) => Math.max(most, end - start), 0);
    const replaces = values.mode === 'replace';
    if (replaces) {
      const times = { attackMs: values.duckAttackMs, holdMs: values.duckHoldMs, releaseMs: values.duckReleaseMs };
      const hits = placements.map(({ hitSample }) => hitSample);
      this.#window = new HitWindow(hits, times, sampleRateHz);
    }
    const depth = 1 - dbToGain(-values.duckRangeDb);
    this.#depths = [(depth * values.lowBlendPercent) / 100, (depth * values.highBlendPercent) / 100];
    this.#band = Array.from({ length: channels }, () => new Float64Array(BLOCK));
    if (replaces && splits(values)) {
      const branches = linkwitzRiley({ sampleRateHz, frequencyHz: values.crossoverHz, order: 4 });
      this.#lows = this.own(new BiquadCascade(this.format, branches.lowpass));
      this.#highs = this.own(new BiquadCascade(this.format, branches.highpass));
    }
    this.begin();
  }

  /** Everything that will sound; a sample that plays at the end of the recording sounds on for at most its length. */
  override get tailSamples(): number {
    return Math.max(this.#longest, this.#lows?.tailSamples ?? 0);
  }

  protected override advance(x: Float64Array[], count: number): void {
    if (this.#window) {
      this.#window.remainder(this.#position, this.#left, count);
      this.#duck(x, count);
    }
    this.#addVoices(x, count);
    this.#position[0] += count;
  }

  #duck(x: Float64Array[], count: number): void {
    const low = this.#depths[0],
      high = this.#depths[1],
      left = this.#left,
      band = this.#band;
    if (this.#lows && this.#highs) {
      this.#side.end = count;
      for (let c = 0; c < x.length; c++) band[c].set(x[c]);
      this.#lows.process(band, band, this.#side);
      this.#highs.process(x, x, this.#side);
      for (let c = 0; c < x.length; c++) {
        const lows = band[c],
          highs = x[c];
        for (let i = 0; i < count; i++) {
          const w = 1 - left[i];
          highs[i] = (1 - low * w) * lows[i] + (1 - high * w) * highs[i];
        }
      }
      return;
    }
    for (const y of x) for (let i = 0; i < count; i++) y[i] *= 1 - low * (1 - left[i]);
  }

  #addVoices(x: Float64Array[], count: number): void {
    const voices = this.#voices,
      now = this.#position[0];
    if (this.#first > 0 && this.#ends[this.#first - 1] > now) this.#first = 0; // gone back
    while (this.#first < voices.length && this.#ends[this.#first] <= now) this.#first++;
    for (let v = this.#first; v < voices.length; v++) {
      const voice = voices[v];
      // Voices are in the order of their hits, and so of their starts but for the few ms that each was moved.
      if (voice.start - this.#longest >= now + count) break;
      if (voice.start < now + count && voice.end > now) this.#addVoice(voice, x, count);
    }
  }

  #addVoice({ samples, start, end, fadeFrom, gain }: Voice, x: Float64Array[], count: number): void {
    const now = this.#position[0];
    const from = Math.max(0, start - now),
      to = Math.min(count, end - now);
    for (const y of x) {
      for (let i = from; i < to; i++) {
        const at = now + i;
        const fade = at < fadeFrom ? 1 : shareToCome(end - at, this.#fadeSamples + 1);
        y[i] += fade * gain * samples[at - start];
      }
    }
  }
}

/** The placements as voices: each ends where its sample ends, or when the next hit has faded it out. */
function voicesOf({ values, samples, placements }: PlacedLayers, fadeSamples: number): readonly Voice[] {
  return placements.map(({ layer, sample, start, gain, polarity }, p) => {
    const { heard } = samples[layer][sample];
    const whole = start + heard.length;
    const next = values.choke ? placements.at(p + 1) : undefined;
    const fadeFrom = next ? Math.max(start, Math.floor(next.hitSample)) : whole;
    const choked = fadeFrom + fadeSamples < whole;
    return {
      samples: heard,
      start,
      end: choked ? fadeFrom + fadeSamples : whole,
      fadeFrom: choked ? fadeFrom : whole,
      gain: polarity * gain,
    };
  });
}
