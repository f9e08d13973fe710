/**
 * One track per drum: every stroke where it was played, before any room or microphone.
 *
 *     voice or recording -> peak = velocity x level -> band limit and fraction of a sample, in one kernel -> + track
 *
 * An open hat is choked by the next stroke on the hat.
 *
 * @module
 */
import { dbToGain } from '../core/decibels.ts';
import { cos } from '../core/maths.ts';
import { Convolver } from './convolution.ts';
import { drumLevelsDb, voiceOf } from './kit-voices.ts';
import type { DrumName, StrokeName } from './names.ts';
import { type OneShots, pickOneShot } from './one-shots.ts';
import type { Stroke } from './player.ts';
import { bandLimitShape, SincKernel } from './sinc-kernel.ts';
import { strokeRandom } from './streams.ts';

const CHOKE_SECONDS = 0.012;

/** A sound check hears this much of a stroke: the loudest moment of a drum, and of its reflections, comes sooner. */
const SOUND_CHECK_SECONDS = 0.4;

/** Plays strokes on one drum after the other. */
export class DryTracks {
  readonly #sampleRateHz: number;
  readonly #seed: number;
  readonly #oneShots: OneShots;
  readonly #kernel = new SincKernel(bandLimitShape);
  readonly #convolver = new Convolver(2 * bandLimitShape.halfWidthSamples);

  constructor(sampleRateHz: number, seed: number, oneShots: OneShots) {
    this.#sampleRateHz = sampleRateHz;
    this.#seed = seed;
    this.#oneShots = oneShots;
  }

  /** The track of `drum`, its peak at 1 m before the band limit being velocity times level. */
  play(drum: DrumName, strokes: readonly Stroke[], frames: number): Float64Array {
    const track = new Float64Array(frames);
    const own = strokes.filter((stroke) => stroke.drum === drum);
    own.forEach((stroke, index) => {
      const samples = this.#strike(drum, stroke.stroke, stroke.velocity, index);
      const next = own[index + 1];
      if (stroke.stroke === 'open' && next) choke(samples, next.seconds - stroke.seconds, this.#sampleRateHz);
      this.#place(samples, stroke.seconds * this.#sampleRateHz, track);
    });
    return track;
  }

  /** The start of the first stroke on `drum`, struck with full force at sample `position`, and a track as long. */
  soundCheck(drum: DrumName, position: number): Float64Array {
    const samples = this.#strike(drum, 'normal', 1, 0).subarray(
      0,
      Math.round(SOUND_CHECK_SECONDS * this.#sampleRateHz),
    );
    const track = new Float64Array(position + samples.length + bandLimitShape.halfWidthSamples);
    this.#place(samples, position, track);
    return track;
  }

  #strike(drum: DrumName, stroke: StrokeName, velocity: number, index: number): Float64Array {
    const layers = this.#oneShots[drum];
    const samples = layers
      ? pickOneShot(layers, stroke, velocity).slice()
      : voiceOf(drum, stroke)(this.#sampleRateHz, velocity, strokeRandom(this.#seed, drum, index));
    const peak = samples.reduce((most, sample) => Math.max(most, Math.abs(sample)), 0);
    const gain = (velocity * dbToGain(drumLevelsDb[drum])) / peak;
    for (let i = 0; i < samples.length; i++) samples[i] *= gain;
    return samples;
  }

  #place(samples: Float64Array, position: number, track: Float64Array): void {
    const whole = Math.floor(position);
    const kernel = this.#convolver.spectrumOf(this.#kernel.around(position - whole));
    this.#convolver.addFiltered(samples, kernel, track, whole - bandLimitShape.halfWidthSamples + 1);
  }
}

/** Fades the samples out `seconds` after their start. */
function choke(samples: Float64Array, seconds: number, sampleRateHz: number): void {
  const start = Math.max(0, Math.round(seconds * sampleRateHz));
  const length = Math.round(CHOKE_SECONDS * sampleRateHz);
  for (let i = start; i < samples.length; i++) {
    const done = (i - start) / length;
    samples[i] *= done < 1 ? 0.5 + 0.5 * cos(Math.PI * done) : 0;
  }
}
