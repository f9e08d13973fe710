/**
 * Segment spectra: the spectra of several microphones over the same stretches of time, one stretch after the other.
 *
 *     whole take    stretches of 0.6 s or more that overlap by half, under a sine window: the squares of two neighbours
 *                   sum to 1, so that every sample counts alike
 *     hits          a stretch of 0.16 s or more around each, which rises before the hit and falls over its second half
 *
 * @module
 */
import { RealFft } from '../core/fft.ts';
import { cosOfTurns } from '../core/maths.ts';
import type { SampleSource } from '../core/sample-source.ts';
import type { FrequencyBand } from '../core/third-octaves.ts';

/** What is looked at. */
export interface Stretches {
  readonly sampleRateHz: number;
  /** Positions of hits; the whole take unless given. */
  readonly hits?: readonly number[] | undefined;
}

/** The spectrum of one microphone over one stretch. */
export interface Spectrum {
  readonly re: Float64Array;
  readonly im: Float64Array;
}

const TAKE_SECONDS = 0.6;
const HIT_SECONDS = 0.16;
/** Share of a hit's stretch that lies before the hit. */
const BEFORE_HIT = 1 / 16;

/** Distance between two bins of the spectra, in Hz. */
export function binWidthHz({ sampleRateHz, hits }: Stretches): number {
  return sampleRateHz / sizeOf(sampleRateHz, hits !== undefined);
}

/** Calls `visit` with the spectra of all sources, in their order, for each stretch. The arrays are used again. */
export function forEachStretch(
  sources: readonly SampleSource[],
  { sampleRateHz, hits }: Stretches,
  visit: (spectra: readonly Spectrum[]) => void,
): void {
  const size = sizeOf(sampleRateHz, hits !== undefined);
  const fft = new RealFft(size);
  const spectra = sources.map(() => ({ re: new Float64Array(fft.bins), im: new Float64Array(fft.bins) }));
  const weights = hits ? hitWindow(size) : sineWindow(size);
  const starts = hits
    ? hits.map((hit) => Math.round(hit) - size * BEFORE_HIT)
    : halfOverlapped(Math.max(0, ...sources.map(({ frames }) => frames)), size);
  const x = new Float64Array(size);
  for (const start of starts) {
    sources.forEach((source, s) => {
      source.read(start, x);
      for (let i = 0; i < size; i++) x[i] *= weights[i];
      fft.forward(x, spectra[s].re, spectra[s].im);
    });
    visit(spectra);
  }
}

/** Share of each bin that lies in a band: 1 within, a part at its edges; from bin `first` on. */
export function binShares({ fromHz, toHz }: FrequencyBand, widthHz: number): { first: number; shares: Float64Array } {
  const first = Math.max(0, Math.floor(fromHz / widthHz - 0.5)),
    last = Math.ceil(toHz / widthHz + 0.5);
  const edge = (hz: number, k: number) => Math.max(k - 0.5, Math.min(k + 0.5, hz / widthHz));
  const shares = Float64Array.from(
    { length: last - first + 1 },
    (_, i) => edge(toHz, first + i) - edge(fromHz, first + i),
  );
  return { first, shares };
}

/** Smallest power of two that lasts long enough. */
function sizeOf(sampleRateHz: number, hits: boolean): number {
  let size = 256;
  while (size < (hits ? HIT_SECONDS : TAKE_SECONDS) * sampleRateHz) size *= 2;
  return size;
}

function halfOverlapped(frames: number, size: number): number[] {
  const hop = size / 2;
  return Array.from({ length: frames === 0 ? 0 : Math.ceil(frames / hop) + 1 }, (_, s) => (s - 1) * hop);
}

function sineWindow(size: number): Float64Array {
  return Float64Array.from({ length: size }, (_, i) => cosOfTurns(((i + 0.5) / size - 0.5) / 2));
}

function hitWindow(size: number): Float64Array {
  const rise = size * BEFORE_HIT,
    fall = size / 2;
  return Float64Array.from({ length: size }, (_, i) => {
    if (i < rise) return 0.5 - 0.5 * cosOfTurns(i / rise / 2);
    return i < fall ? 1 : 0.5 + 0.5 * cosOfTurns((i - fall) / fall / 2);
  });
}
