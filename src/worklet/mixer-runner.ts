/**
 * Mixer runner: what a mixer's processor does in the audio thread, quantum after quantum.
 *
 *     inputs --> rings --> the strips that also render files --> left and right
 *
 * The strips, their order, their delays and their arithmetic are those of `renderMix`, in Float64; one node holds them all.
 * So a mix sounds the same live, to the bit. It knows nothing of Web Audio, so that it runs in a test as it runs in a page.
 *
 * @module
 */
import { BLOCK, store } from '../core/pieces.ts';
import { arrayInput } from '../mix/array-input.ts';
import { FRACTIONAL_TAPS } from '../filters/fractional-kernel.ts';
import type { MixInput } from '../mix/input-reader.ts';
import { createMixer, type Mixer, type MixerStrip, runMixer } from '../mix/mixer.ts';
import { simdKernels } from '../simd/simd-kernels.ts';
import { LiveInput } from './live-input.ts';
import type { MixerSettings, TimedValue } from './messages.ts';
import { clearMeters } from './meter-layout.ts';
import { MeteredBlock } from './metered-block.ts';
import { blockIndex, mixerLayout, type MixerLayout } from './mixer-meters.ts';
import type { Ports } from './scope.ts';

/** Runs the mix of a plan. */
export class MixerRunner {
  readonly latencySamples: number;
  readonly tailSamples: number;
  /** Meter values so far, as `mixer-meters.ts` says. */
  readonly meters: Float64Array;
  /** Index of the first value of a block in them. */
  readonly meterHead: number;
  readonly #mixer: Mixer;
  readonly #layout: MixerLayout;
  readonly #strips: ReadonlyMap<string, MixerStrip>;
  readonly #inputs: readonly LiveInput[];
  readonly #startFrame: number;
  readonly #leadSamples: number;
  #next = -Infinity; // position of the frame that comes next

  /** @throws TypeError or RangeError with the path of what does not fit the sample rate or the inputs */
  constructor(settings: MixerSettings, sampleRateHz: number) {
    const { plan, inputs, alignment, impulses, startFrame, meters } = settings;
    const live = inputs.map(({ name, channels }): [string, LiveInput] => [name, new LiveInput(sampleRateHz, channels)]);
    const files = Object.entries(impulses).map(([name, response]): [string, MixInput] => [
      name,
      arrayInput(response.channels, response.sampleRateHz),
    ]);
    const layout = mixerLayout(plan);
    this.meters = new Float64Array(layout.length);
    this.meterHead = layout.head;
    clearMeters(this.meters, layout.head);
    this.#mixer = createMixer(plan, Object.fromEntries<MixInput>([...live, ...files]), {
      sampleRateHz,
      chunkFrames: BLOCK,
      simd: simdKernels(),
      moves: alignment,
      measureLowEnd: false,
      wrap: (path, block, b) =>
        meters ? { ...block, processor: new MeteredBlock(block, this.meters, blockIndex(layout, path, b)) } : block,
    });
    const { strips, latencySamples, tailSamples } = this.#mixer;
    this.#layout = layout;
    this.#strips = new Map(strips.map((strip) => [strip.path, strip]));
    this.#inputs = live.map(([, input]) => input);
    this.#startFrame = startFrame;
    this.#leadSamples = alignment.leadSamples;
    this.latencySamples = latencySamples + alignment.leadSamples;
    this.tailSamples = tailSamples;
    const latest = Math.max(...strips.map(({ timing }) => timing.start)) + alignment.leadSamples;
    const farthest = Math.max(0, ...Object.values(alignment.moves).map(({ delaySamples }) => delaySamples));
    for (const input of this.#inputs) input.keep(Math.ceil(latest + farthest) + FRACTIONAL_TAPS + 2 * BLOCK);
  }

  /** Sets a value for the samples that come in at its frame; for the next ones if that has passed. */
  setAt({ strip: path, block, frame, event }: TimedValue): void {
    const strip = this.#strips.get(path)?.strip;
    const sample = Math.max(frame - this.#startFrame, this.#next) + this.#leadSamples;
    if (block < 0) strip?.setFaderAt({ ...event, sample });
    else strip?.setBlockAt(block, { ...event, sample });
  }

  /** Processes one quantum that begins at `frame` of the context. */
  run(inputs: Ports, output: readonly Float32Array[], frame: number): void {
    const mixer = this.#mixer,
      live = this.#inputs,
      frames = output[0].length;
    for (let at = 0; at < frames; at += BLOCK) {
      const count = Math.min(BLOCK, frames - at),
        now = frame - this.#startFrame + at;
      for (let i = 0; i < live.length; i++) live[i].take(inputs[i], at, count, now);
      runMixer(mixer, now, count);
      for (let c = 0; c < 2; c++) store(mixer.output[c], output[c], at, count);
      this.#next = now + count;
    }
    this.#measure(output, frame + frames);
  }

  #measure(output: readonly Float32Array[], frame: number): void {
    const meters = this.meters,
      { strips } = this.#mixer,
      places = this.#layout.strips;
    meters[0] = frame;
    for (let c = 0; c < output.length; c++) {
      const y = output[c];
      for (let i = 0; i < y.length; i++) if (Math.abs(y[i]) > meters[1]) meters[1] = Math.abs(y[i]);
    }
    for (let s = 0; s < strips.length; s++) {
      const { path, strip } = strips[s],
        at = places.get(path)?.peak as number;
      if (strip.peak > meters[at]) meters[at] = strip.peak;
      strip.peak = 0;
    }
  }
}
