/**
 * Prepared failures: what goes wrong in practice, by which figure it is seen, and the settings that cure it.
 *
 * @module
 */
import { copyDelay, countOpenings, gainSwing, lowEndFall, notchDepth, worstAlias } from './figures.ts';
import { render, type Rendering, type Sound } from './render.ts';
import { defaultSettings, type Settings } from './settings.ts';

/** A failure, as the page tells it. */
export interface FailureText {
  readonly name: string;
  readonly title: string;
  /** What is heard and seen, and why. */
  readonly fault: string;
  /** What helps, and why. */
  readonly cure: string;
  /** What the figure is. */
  readonly figure: string;
  readonly unit: string;
}

/** A failure with its settings. */
export interface Failure extends FailureText {
  readonly faulty: Settings;
  readonly cured: Settings;
  readonly measure: (rendering: Rendering, settings: Settings) => number;
}

const set = (changes: Partial<Settings>): Settings => ({ ...defaultSettings, ...changes });

export const failures: readonly Failure[] = [
  {
    name: 'chatter',
    title: 'Chatter of a gate',
    fault:
      'A kick dies away slowly, and its waveform passes through zero twice in every period. A gate that follows each of these at once opens and closes many times within one hit.',
    cure: 'Hold the gate open for longer than half a period of the lowest note, and close it at a lower level than it opens at (hysteresis).',
    figure: 'openings of the gate',
    unit: '',
    faulty: set({
      microphone: 'kickIn',
      block: 'gate',
      options: { thresholdDb: -30, hysteresisDb: 0, holdMs: 0, releaseMs: 5 },
    }),
    cured: set({ microphone: 'kickIn', block: 'gate', options: { thresholdDb: -30 } }),
    measure: countOpenings,
  },
  {
    name: 'flam',
    title: 'Flam of a late copy',
    fault:
      'A second sound for each hit, a sample or another microphone, comes 25 ms late. Ear and waveform show two hits in place of one.',
    cure: 'Place the copy on the hit, to the sample: find the hit in the microphone and take the delay away.',
    figure: 'delay of the copy',
    unit: 'ms',
    faulty: set({ block: 'delay', options: { delaySamples: 1200 }, dry: 'early' }),
    cured: set({ block: 'delay', dry: 'early' }),
    measure: (rendering, settings) => copyDelay(settings, rendering, settings.dry === 'inTime'),
  },
  {
    name: 'comb',
    title: 'Comb of a parallel path',
    fault:
      'A crushed copy stands beside the dry snare. Its look-ahead makes it 3 ms late, so the two cancel at 167 Hz, 500 Hz, 833 Hz and so on.',
    cure: 'Delay the dry signal by the latency of the block, which the library tells to the sample.',
    figure: 'depth of the deepest notch',
    unit: 'dB',
    faulty: set({ block: 'compressor', options: { thresholdDb: -30, ratio: 8, lookaheadMs: 3 }, dry: 'early' }),
    cured: set({ block: 'compressor', options: { thresholdDb: -30, ratio: 8, lookaheadMs: 3 }, dry: 'inTime' }),
    measure: notchDepth,
  },
  {
    name: 'pumping',
    title: 'Pumping of the overheads',
    fault:
      'A high ratio with a quick release pulls the cymbals down at each kick and snare, and lets them swell up again before the next.',
    cure: 'A lower ratio, an attack that lets the hit pass, and a release that is longer than the time between hits: the gain then stays about where it is.',
    figure: 'swing of the gain (5th to 95th percentile)',
    unit: 'dB',
    faulty: set({
      microphone: 'overheads',
      block: 'compressor',
      options: { thresholdDb: -35, ratio: 8, attackMs: 2, releaseMs: 80 },
    }),
    cured: set({
      microphone: 'overheads',
      block: 'compressor',
      options: { thresholdDb: -35, ratio: 2, attackMs: 20, releaseMs: 600 },
    }),
    measure: gainSwing,
  },
  {
    name: 'alias',
    title: 'Alias of a clipper',
    fault:
      'A clipped sine of 4987 Hz has harmonics at 3, 5, 7 ... times its frequency. Those above half the sample rate fold back to places that are no harmonics: the lines between them in the spectrum.',
    cure: 'Clip at four times the sample rate and correct the corners, so that little is left to fold back.',
    figure: 'worst line that is no harmonic, relative to the tone',
    unit: 'dB',
    faulty: set({
      source: 'sine',
      signal: { levelDb: 0, frequencyHz: 4987 },
      block: 'hardClipper',
      options: { driveDb: 12, oversampling: 1 },
    }),
    cured: set({
      source: 'sine',
      signal: { levelDb: 0, frequencyHz: 4987 },
      block: 'hardClipper',
      options: { driveDb: 12, oversampling: 4, antialiasing: 'cornerCorrection' },
    }),
    measure: (rendering, { signal }) => worstAlias(rendering, signal.frequencyHz),
  },
  {
    name: 'mud',
    title: 'Kick mud in a reverberation',
    fault: 'The lows of the kick ring on in the reverberation for two seconds and fill the time up to the next hit.',
    cure: 'A high-pass in front of the reverberation: the kick keeps its space in the mids, and its lows stay dry.',
    figure: 'low end between the hits, relative to the hits',
    unit: 'dB',
    faulty: set({
      microphone: 'kickIn',
      block: 'schroederReverb',
      options: { decaySeconds: 2, highpassHz: 20, mixPercent: 30 },
    }),
    cured: set({
      microphone: 'kickIn',
      block: 'schroederReverb',
      options: { decaySeconds: 2, highpassHz: 300, mixPercent: 30 },
    }),
    measure: lowEndFall,
  },
];

/** The figure of a failure with its fault and with its cure. */
export function measureFailure(
  failure: Failure,
  soundOf: (settings: Settings) => Sound,
): [fault: number, cure: number] {
  const { faulty, cured, measure } = failure;
  const figure = (settings: Settings) => measure(render(soundOf(settings), settings), settings);
  return [figure(faulty), figure(cured)];
}
