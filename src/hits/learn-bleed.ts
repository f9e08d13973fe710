/**
 * Learns, from the hits of a drum, how its microphone can be freed of the bleed by all microphones together.
 *
 *     frames with a hit  --> covariances Y       X = Y - V        a = X u / X[u][u]     (how all microphones hear the drum)
 *     frames without     --> covariances V
 *
 *     w = s V^-1 a / (b + s a^H V^-1 a),     s = X[u][u],     drum = w^H x                  for every frequency
 *
 * u is the drum's own microphone. With b = 0 the drum passes unchanged and the bleed is as low as a fixed combination of
 * the microphones makes it; the larger b, the more bleed is removed where there is little of the drum. As the combination
 * does not move with the signal, it leaves no artefacts of switching. The hits say which frames hold nothing but bleed.
 *
 * Source: M. Souden, J. Benesty, S. Affes, "On Optimal Frequency-Domain Multichannel Linear Filtering for Noise Reduction",
 * IEEE Trans. Audio, Speech, and Language Processing 18(2), 2010 (the parameterised multichannel Wiener filter), with the
 * drum as one source; I. Cohen, "Relative Transfer Function Identification Using Speech Signals", IEEE Trans. Speech and
 * Audio Processing 12(5), 2004, for a from frames with and without it (both from memory).
 *
 * @module
 */
import { RealFft } from '../core/fft.ts';
import { log10 } from '../core/maths.ts';
import { requireFormat } from '../core/pieces.ts';
import { requireInteger } from '../core/check.ts';
import { type ParameterOptions, type ParameterTable, resolveParameters } from '../core/parameters.ts';
import type { SampleSource } from '../core/sample-source.ts';
import { millisecondsToSamples } from '../core/time.ts';
import { type Complex, complexZeros, solveHermitian } from './hermitian-solve.ts';
import { frameSizeFor, rootHann } from './overlap-add.ts';

/** Parameters of bleed reduction. */
export const bleedParameters = {
  /** b: 0 keeps the drum as it is; more removes more of the bleed, and some of the drum where the bleed is louder. */
  strength: { default: 1, min: 0, max: 1000 },
  /** How long after a hit a frame still holds the drum: frames that touch it teach how the drum is heard. */
  soundingMs: { default: 120, min: 10, max: 2000 },
  /** How long after a hit the drum has faded into the bleed: frames from there on teach what the bleed is. */
  fadedMs: { default: 350, min: 20, max: 5000 },
} as const satisfies ParameterTable;

/** Options of {@link learnBleedFilter}; {@link bleedParameters} gives defaults, ranges and units. */
export type BleedOptions = ParameterOptions<typeof bleedParameters>;

/** Weights of every microphone for every frequency: the drum is the sum of weight times spectrum. */
export interface BleedFilter {
  /** Samples of a frame, a power of two. */
  readonly frameSize: number;
  /** The drum's own microphone. */
  readonly target: number;
  /** Bin after bin, in each of them a weight for every microphone. */
  readonly weights: Complex;
  /** How many frames taught the drum, and the bleed. */
  readonly drumFrames: number;
  /** How many frames of bleed alone were learned from. */
  readonly bleedFrames: number;
  /** How far the bleed goes down within each frame; overlapping frames add up to somewhat more. */
  readonly bleedDownDb: number;
  /** How large what the drum loses or gains is, relative to it: -20 dB are a tenth. */
  readonly drumChangeDb: number;
}

/** Share of the mean power that is added to every microphone's own: what keeps the weights finite. */
const LOADING = 1e-4;

/**
 * Learns the filter of one drum.
 *
 * @param microphones - two or more of them, that of the drum among them
 * @param target - index of the drum's own
 * @param hits - samples of all hits of the drum, sorted
 * @throws RangeError if there is no frame with a hit, or none without
 */
export function learnBleedFilter(
  sampleRateHz: number,
  microphones: readonly SampleSource[],
  target: number,
  hits: readonly number[],
  options: BleedOptions = {},
): BleedFilter {
  requireFormat('learnBleedFilter', { sampleRateHz, channels: microphones.length });
  requireInteger('learnBleedFilter: target', target, 0, microphones.length - 1);
  const values = resolveParameters('learnBleedFilter: ', bleedParameters, options, sampleRateHz);
  const frameSize = frameSizeFor(sampleRateHz),
    count = microphones.length;
  const drum = new Covariances(frameSize / 2 + 1, count),
    bleed = new Covariances(frameSize / 2 + 1, count);
  const sounding = millisecondsToSamples(values.soundingMs, sampleRateHz),
    faded = millisecondsToSamples(values.fadedMs, sampleRateHz);
  const reader = new Frames(frameSize, microphones);
  const frames = microphones.reduce((most, source) => Math.max(most, source.frames), 0);
  let next = 0;
  for (let start = 0; start + frameSize <= frames; start += frameSize / 2) {
    const end = start + frameSize;
    while (next < hits.length && hits[next] < end) next++;
    const since = next === 0 ? Infinity : start - hits[next - 1]; // negative if the hit is in the frame
    if (since < -0.75 * frameSize) continue; // of a drum that only begins at its end, a frame hears little
    if (since < sounding) drum.add(reader.read(start));
    else if (since >= faded) bleed.add(reader.read(start));
  }
  if (drum.frames === 0 || bleed.frames === 0) {
    throw new RangeError(
      `learnBleedFilter: there must be stretches with and without the drum, got ${drum.frames} and ${bleed.frames} frames`,
    );
  }
  return {
    frameSize,
    target,
    ...learn(drum, bleed, target, values.strength),
    drumFrames: drum.frames,
    bleedFrames: bleed.frames,
  };
}

/** Mean products of the microphones' spectra, for every frequency. */
class Covariances {
  frames = 0;
  readonly bins: number;
  readonly count: number;
  readonly #sum: Complex;

  constructor(bins: number, count: number) {
    this.bins = bins;
    this.count = count;
    this.#sum = complexZeros(bins * count * count);
  }

  add(spectra: readonly Complex[]): void {
    const { re, im } = this.#sum,
      count = this.count;
    this.frames++;
    for (let i = 0; i < count; i++) {
      for (let j = 0; j < count; j++) {
        const x = spectra[i],
          y = spectra[j];
        for (let k = 0, at = i * count + j; k < this.bins; k++, at += count * count) {
          re[at] += x.re[k] * y.re[k] + x.im[k] * y.im[k];
          im[at] += x.im[k] * y.re[k] - x.re[k] * y.im[k];
        }
      }
    }
  }

  /** The mean at a frequency. */
  at(bin: number): Complex {
    const size = this.count * this.count;
    const mean = (x: Float64Array) => x.slice(bin * size, (bin + 1) * size).map((v) => v / this.frames);
    return { re: mean(this.#sum.re), im: mean(this.#sum.im) };
  }
}

/** Windowed spectra of all microphones. */
class Frames {
  readonly #sources: readonly SampleSource[];
  readonly #fft: RealFft;
  readonly #window: Float64Array;
  readonly #frame: Float64Array;
  readonly #spectra: readonly Complex[];

  constructor(size: number, sources: readonly SampleSource[]) {
    this.#sources = sources;
    this.#fft = new RealFft(size);
    this.#window = rootHann(size);
    this.#frame = new Float64Array(size);
    this.#spectra = sources.map(() => complexZeros(this.#fft.bins));
  }

  read(start: number): readonly Complex[] {
    const frame = this.#frame,
      window = this.#window;
    this.#sources.forEach((source, s) => {
      source.read(start, frame);
      for (let i = 0; i < frame.length; i++) frame[i] *= window[i];
      this.#fft.forward(frame, this.#spectra[s].re, this.#spectra[s].im);
    });
    return this.#spectra;
  }
}

/** The weights, and what they do to the mean powers of bleed and drum. */
function learn(
  drum: Covariances,
  bleed: Covariances,
  target: number,
  strength: number,
): Pick<BleedFilter, 'weights' | 'bleedDownDb' | 'drumChangeDb'> {
  const { bins, count } = drum;
  const weights = complexZeros(bins * count);
  let bleedBefore = 0,
    bleedAfter = 0,
    drumBefore = 0,
    drumChange = 0;
  for (let bin = 0; bin < bins; bin++) {
    const y = drum.at(bin),
      v = bleed.at(bin);
    const own = target * count + target;
    const power = y.re[own] - v.re[own]; // s
    bleedBefore += v.re[own];
    drumBefore += Math.max(0, power);
    if (!(power > 0)) {
      weights.re[bin * count + target] = strength > 0 ? 0 : 1;
      if (strength === 0) bleedAfter += v.re[own];
      continue;
    }
    const a = complexZeros(count);
    for (let i = 0; i < count; i++) {
      a.re[i] = (y.re[i * count + target] - v.re[i * count + target]) / power;
      a.im[i] = (y.im[i * count + target] - v.im[i * count + target]) / power;
    }
    const x: Complex = { re: a.re.slice(), im: a.im.slice() };
    let trace = 0;
    for (let i = 0; i < count; i++) trace += v.re[i * count + i];
    const load = (LOADING * trace) / count + 1e-20;
    for (let i = 0; i < count; i++) v.re[i * count + i] += load;
    if (!solveHermitian(v, x, count)) {
      weights.re[bin * count + target] = 1;
      bleedAfter += v.re[own];
      continue;
    }
    let gain = 0, // a^H V^-1 a, with what was added to V
      loaded = 0; // what that makes of it
    for (let i = 0; i < count; i++) {
      gain += a.re[i] * x.re[i] + a.im[i] * x.im[i];
      loaded += load * (x.re[i] * x.re[i] + x.im[i] * x.im[i]);
    }
    const scale = power / (strength + power * gain);
    bleedAfter += scale * scale * (gain - loaded); // w^H V w
    drumChange += power * (1 - scale * gain) * (1 - scale * gain); // w^H a is what is left of the drum
    for (let i = 0; i < count; i++) {
      weights.re[bin * count + i] = scale * x.re[i];
      weights.im[bin * count + i] = -scale * x.im[i]; // w^H
    }
  }
  return {
    weights,
    bleedDownDb: levelDb(bleedBefore) - levelDb(bleedAfter),
    drumChangeDb: levelDb(drumChange) - levelDb(drumBefore),
  };
}

/** dB of a power; silence is -200 dB. */
function levelDb(power: number): number {
  return Math.max(-200, 10 * log10(power));
}
