/**
 * What happens in a kit, as all of its microphones hear it: strokes, each with its arrival and level in every microphone.
 *
 *     microphone --> onsets --+
 *     microphone --> onsets --+--> arrivals within 30 ms of the first belong to one stroke --> level in every microphone
 *     microphone --> onsets --+
 *
 * 30 ms is 10 m of way: the farthest room microphones. Two drums struck together are one event; medians over many events
 * forgive that.
 *
 * @module
 */
import { gainToDb } from '../core/decibels.ts';
import type { SampleSource } from '../core/sample-source.ts';
import { OnsetDetector } from '../hits/onset-detector.ts';

/** A stroke on some drum. */
export interface KitEvent {
  /** Sample at which the first microphone hears it. */
  readonly sample: number;
  /** Index of that microphone. */
  readonly first: number;
  /** How much later each microphone hears it, in samples; NaN where no onset was found. */
  readonly lags: Float64Array;
  /** Peak in each microphone over the 35 ms from the first arrival, dB relative to the loudest event there; at least -60. */
  readonly levelsDb: Float64Array;
}

const TOGETHER_SECONDS = 0.03;
const LEVEL_SECONDS = 0.035;
const SOFTEST_DB = -60;
const READ_FRAMES = 8192;
/** Wide: which band a drum sounds in is what is to be found out. */
const LISTENING = { lowHz: 40, riseDb: 4, minimumDistanceMs: 20 } as const;
const HIGHEST_HZ = 15000;
const HIGHEST = 0.49; // of the sample rate

/** The events of a recording, by time. The sources must be levelled. */
export function kitEvents(sources: readonly SampleSource[], sampleRateHz: number): KitEvent[] {
  const onsets = sources.flatMap((source, microphone) =>
    onsetsOf(source, sampleRateHz).map((sample) => ({ sample, microphone })),
  );
  onsets.sort((a, b) => a.sample - b.sample);
  const groups: { readonly sample: number; readonly first: number; readonly lags: Float64Array }[] = [];
  for (const { sample, microphone } of onsets) {
    let group = groups.at(-1);
    if (group === undefined || sample - group.sample > TOGETHER_SECONDS * sampleRateHz) {
      group = { sample, first: microphone, lags: new Float64Array(sources.length).fill(NaN) };
      groups.push(group);
    }
    if (Number.isNaN(group.lags[microphone])) group.lags[microphone] = sample - group.sample;
  }
  const levels = sources.map((source) => levelsAt(source, groups, Math.round(LEVEL_SECONDS * sampleRateHz)));
  return groups.map((group, e) => ({ ...group, levelsDb: Float64Array.from(levels, (own) => own[e]) }));
}

function onsetsOf(source: SampleSource, sampleRateHz: number): number[] {
  const highHz = Math.min(HIGHEST_HZ, HIGHEST * sampleRateHz);
  const detector = new OnsetDetector(sampleRateHz, { ...LISTENING, highHz });
  const block = new Float64Array(READ_FRAMES);
  const samples: number[] = [];
  const take = (found: readonly { readonly sample: number }[]) => {
    for (const { sample } of found) samples.push(sample);
  };
  for (let start = 0; start < source.frames; start += READ_FRAMES) {
    source.read(start, block);
    take(detector.process(block, 0, Math.min(READ_FRAMES, source.frames - start)));
  }
  take(detector.finish());
  return samples;
}

/** Peak of a source at each event, relative to the greatest. */
function levelsAt(source: SampleSource, events: readonly { readonly sample: number }[], length: number): Float64Array {
  const window = new Float64Array(length);
  const peaks = Float64Array.from(events, ({ sample }) => {
    source.read(Math.floor(sample), window);
    return window.reduce((most, x) => Math.max(most, Math.abs(x)), 0);
  });
  const most = peaks.reduce((a, b) => Math.max(a, b), 0);
  return peaks.map((peak) => (peak > 0 ? Math.max(SOFTEST_DB, gainToDb(peak / most)) : SOFTEST_DB));
}
