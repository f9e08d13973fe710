/**
 * The kit in its room, levels set: what every microphone hears of every drum.
 *
 * @module
 */
import type { Air } from './air.ts';
import { Convolver, type Spectrum } from './convolution.ts';
import type { DryTracks } from './dry-tracks.ts';
import { type KitLayout, microphoneTargets } from './layout.ts';
import { type DrumName, drumNames, type MicrophoneName, microphoneNames } from './names.ts';
import { type Path, PATH_LEAD_SAMPLES, PathBuilder } from './path.ts';
import { type MicrophoneLevels, setLevels } from './sound-check.ts';

/** A table with one entry for every microphone and drum. */
export type PerPath<T> = Readonly<Record<MicrophoneName, Readonly<Record<DrumName, T>>>>;

/** A table with one entry for every microphone. */
export type PerMicrophone<T> = Readonly<Record<MicrophoneName, T>>;

export function perMicrophone<T>(entry: (microphone: MicrophoneName) => T): Record<MicrophoneName, T> {
  return Object.fromEntries(microphoneNames.map((name) => [name, entry(name)])) as Record<MicrophoneName, T>;
}

export function perDrum<T>(entry: (drum: DrumName) => T): Record<DrumName, T> {
  return Object.fromEntries(drumNames.map((name) => [name, entry(name)])) as Record<DrumName, T>;
}

/** The room, its paths and the levels of its microphones. */
export class Acoustics {
  readonly paths: PerPath<Path>;
  readonly levels: PerMicrophone<MicrophoneLevels>;
  readonly #convolver: Convolver;
  /** Per drum: two microphones to a spectrum, in the order of `microphoneNames`. */
  readonly #pairs: Readonly<Record<DrumName, readonly Spectrum[]>>;

  constructor(
    layout: KitLayout,
    sampleRateHz: number,
    air: Air,
    dry: DryTracks,
    peakDb: number,
    bleedDb: number | undefined,
  ) {
    const builder = new PathBuilder(layout, sampleRateHz, air);
    this.paths = perMicrophone((microphone) => perDrum((drum) => builder.build(drum, microphone)));
    const lengths = microphoneNames.map((name) => drumNames.map((drum) => this.#responseOf(name, drum, 1).length));
    this.#convolver = new Convolver(Math.max(...lengths.flat()));
    this.#pairs = this.#spectra(() => 1);
    const peaks = this.#measurePeaks(dry);
    this.levels = perMicrophone((name) => setLevels(peaks[name], microphoneTargets[name], peakDb, bleedDb));
    this.#pairs = this.#spectra((microphone, drum) => this.levels[microphone].gains[drum]);
  }

  /** Adds what every microphone hears of `track`, played on `drum`. */
  addToAll(drum: DrumName, track: Float64Array, microphones: PerMicrophone<Float64Array>): void {
    this.#convolver.hear(track, this.#pairs[drum], PATH_LEAD_SAMPLES, (pair, start, count, first, second, offset) => {
      addPart(microphones[microphoneNames[2 * pair]], start, count, first, offset);
      addPart(microphones[microphoneNames[2 * pair + 1]], start, count, second, offset);
    });
  }

  /** What one microphone hears of `track`: the same bits that `addToAll` adds. */
  hear(drum: DrumName, track: Float64Array, microphone: MicrophoneName): Float64Array {
    const index = microphoneNames.indexOf(microphone);
    const pair = this.#pairs[drum].slice(index >> 1, (index >> 1) + 1);
    const heard = new Float64Array(track.length);
    this.#convolver.hear(track, pair, PATH_LEAD_SAMPLES, (_, start, count, first, second, offset) => {
      addPart(heard, start, count, index % 2 === 0 ? first : second, offset);
    });
    return heard;
  }

  #measurePeaks(dry: DryTracks): PerPath<number> {
    const peaks = perMicrophone(() => perDrum(() => 0));
    for (const drum of drumNames) {
      const track = dry.soundCheck(drum, 2 * PATH_LEAD_SAMPLES);
      const heard = perMicrophone(() => new Float64Array(track.length));
      this.addToAll(drum, track, heard);
      for (const name of microphoneNames) {
        peaks[name][drum] = heard[name].reduce((most, sample) => Math.max(most, Math.abs(sample)), 0);
      }
    }
    return peaks;
  }

  #spectra(gainOf: (microphone: MicrophoneName, drum: DrumName) => number): Record<DrumName, Spectrum[]> {
    return perDrum((drum) => {
      const pairs: Spectrum[] = [];
      for (let i = 0; i < microphoneNames.length; i += 2) {
        const [first, second] = [microphoneNames[i], microphoneNames[i + 1]].map((name) =>
          this.#responseOf(name, drum, gainOf(name, drum)),
        );
        pairs.push(this.#convolver.spectrumOf(first, second));
      }
      return pairs;
    });
  }

  #responseOf(microphone: MicrophoneName, drum: DrumName, gain: number): Float64Array {
    return this.paths[microphone][drum].impulseResponse.map((sample) => gain * sample);
  }
}

function addPart(target: Float64Array, start: number, count: number, source: Float64Array, offset: number): void {
  for (let i = 0; i < count; i++) target[start + i] += source[offset + i];
}
