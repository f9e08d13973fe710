/**
 * All blocks that a plan can name, in one plain object. Only this folder knows them all, so that a program that imports
 * one block gets one block.
 *
 * @module
 */
import { Chain } from '../core/chain.ts';
import { Delay, delayParameters, requireDelayFits } from '../core/delay.ts';
import { Gain, gainParameters } from '../core/gain.ts';
import { MidSide, midSideParameters } from '../core/mid-side.ts';
import type { ParameterTable } from '../core/parameters.ts';
import { Polarity, polarityParameters } from '../core/polarity.ts';
import type { Processor, StreamFormat } from '../core/processor.ts';
import { Compressor, compressorParameters } from '../dynamics/compressor.ts';
import { DynamicBand, dynamicBandParameters } from '../dynamics/dynamic-band.ts';
import type { DynamicsParts } from '../dynamics/dynamics-shell.ts';
import { Expander, expanderParameters } from '../dynamics/expander.ts';
import { Gate, gateParameters } from '../dynamics/gate.ts';
import { Limiter, limiterParameters } from '../dynamics/limiter.ts';
import { TransientShaper, transientShaperParameters } from '../dynamics/transient-shaper.ts';
import { UpwardCompressor, upwardCompressorParameters } from '../dynamics/upward-compressor.ts';
import { BandSplit, bandSplitParameters, requireRising } from '../filters/band-split.ts';
import { DcBlocker, dcBlockerParameters } from '../filters/dc-blocker.ts';
import { Equaliser } from '../filters/equaliser.ts';
import type { EqualiserBandOptions } from '../filters/equaliser-bands.ts';
import { FractionalDelay, fractionalDelayParameters } from '../filters/fractional-delay.ts';
import { MonoBelow, monoBelowParameters } from '../filters/mono-below.ts';
import { PhaseRotator, phaseRotatorParameters } from '../filters/phase-rotator.ts';
import { ConvolutionReverb, convolutionReverbParameters, type ImpulseResponse } from '../reverb/convolution-reverb.ts';
import { FeedbackReverb, feedbackReverbParameters, requireSmoothDecay } from '../reverb/feedback-reverb.ts';
import { SchroederReverb, schroederReverbParameters } from '../reverb/schroeder-reverb.ts';
import { HardClipper, hardClipperParameters } from '../saturation/hard-clipper.ts';
import { Hysteresis, hysteresisParameters, requireFriction } from '../saturation/hysteresis.ts';
import { Saturator, saturatorParameters } from '../saturation/saturator.ts';
import { requireCorner, SoftClipper, softClipperParameters } from '../saturation/soft-clipper.ts';

/** What a block takes besides its options. */
export interface BlockParts extends DynamicsParts {
  /** Bands of an equaliser, in order. */
  readonly bands: readonly EqualiserBandOptions[];
  /** For a block that takes one. */
  readonly impulse?: ImpulseResponse | undefined;
  /** What each band of a split runs; two empty bands unless given. */
  readonly inner?: readonly Processor[] | undefined;
}

/** How to make and describe one kind of block. */
export interface BlockType {
  /** Makes the block from its format, its options and the parts that are no parameters. */
  readonly create: (format: StreamFormat, options: object, parts: BlockParts) => Processor;
  /** The parameter table: defaults, ranges, units. */
  readonly parameters: ParameterTable;
  /** Whether the block can listen to another signal. */
  readonly takesKey: boolean;
  /** Whether the block has a list of equaliser bands. */
  readonly takesBands: boolean;
  /** Whether the block is made from a recorded impulse response. */
  readonly takesImpulse?: boolean;
  /** Whether the block makes a reverberation, whose low end the report of a mix tells. */
  readonly reverberates?: boolean;
  /** Whether the block has bands with chains of blocks in them. */
  readonly takesChains?: boolean;
  /** Rules between parameters of a block with so many chains. @throws RangeError whose message begins with the prefix */
  requireTogether?(prefix: string, values: object, chains: number): void;
}

/** The block types by the name that a plan uses. Written out, without a spread: a bundler takes a spread for work. */
export const blockTypes: Readonly<Record<string, BlockType>> = {
  gain: {
    create: (format, options) => new Gain(format, options),
    parameters: gainParameters,
    takesKey: false,
    takesBands: false,
  },
  polarity: {
    create: (format, options) => new Polarity(format, options),
    parameters: polarityParameters,
    takesKey: false,
    takesBands: false,
  },
  delay: {
    create: (format, options) => new Delay(format, options),
    parameters: delayParameters,
    requireTogether: requireDelayFits,
    takesKey: false,
    takesBands: false,
  },
  fractionalDelay: {
    create: (format, options) => new FractionalDelay(format, options),
    parameters: fractionalDelayParameters,
    requireTogether: requireDelayFits,
    takesKey: false,
    takesBands: false,
  },
  midSide: {
    create: (format, options) => new MidSide(format, options),
    parameters: midSideParameters,
    takesKey: false,
    takesBands: false,
  },
  equaliser: {
    create: (format, _options, { bands }) => new Equaliser(format, bands),
    parameters: {},
    takesKey: false,
    takesBands: true,
  },
  dcBlocker: {
    create: (format, options) => new DcBlocker(format, options),
    parameters: dcBlockerParameters,
    takesKey: false,
    takesBands: false,
  },
  bandSplit: {
    create: (format, options, { inner = [new Chain(format, []), new Chain(format, [])] }) =>
      new BandSplit(format, options, inner),
    parameters: bandSplitParameters,
    requireTogether: requireRising,
    takesKey: false,
    takesBands: false,
    takesChains: true,
  },
  monoBelow: {
    create: (format, options) => new MonoBelow(format, options),
    parameters: monoBelowParameters,
    takesKey: false,
    takesBands: false,
  },
  phaseRotator: {
    create: (format, options) => new PhaseRotator(format, options),
    parameters: phaseRotatorParameters,
    takesKey: false,
    takesBands: false,
  },
  gate: {
    create: (format, options, parts) => new Gate(format, options, parts),
    parameters: gateParameters,
    takesKey: true,
    takesBands: false,
  },
  expander: {
    create: (format, options, parts) => new Expander(format, options, parts),
    parameters: expanderParameters,
    takesKey: true,
    takesBands: false,
  },
  compressor: {
    create: (format, options, parts) => new Compressor(format, options, parts),
    parameters: compressorParameters,
    takesKey: true,
    takesBands: false,
  },
  upwardCompressor: {
    create: (format, options, parts) => new UpwardCompressor(format, options, parts),
    parameters: upwardCompressorParameters,
    takesKey: true,
    takesBands: false,
  },
  dynamicBand: {
    create: (format, options, parts) => new DynamicBand(format, options, parts),
    parameters: dynamicBandParameters,
    takesKey: true,
    takesBands: false,
  },
  transientShaper: {
    create: (format, options, parts) => new TransientShaper(format, options, parts),
    parameters: transientShaperParameters,
    takesKey: true,
    takesBands: false,
  },
  limiter: {
    create: (format, options, parts) => new Limiter(format, options, parts),
    parameters: limiterParameters,
    takesKey: true,
    takesBands: false,
  },
  hardClipper: {
    create: (format, options) => new HardClipper(format, options),
    parameters: hardClipperParameters,
    takesKey: false,
    takesBands: false,
  },
  softClipper: {
    create: (format, options) => new SoftClipper(format, options),
    parameters: softClipperParameters,
    requireTogether: requireCorner,
    takesKey: false,
    takesBands: false,
  },
  saturator: {
    create: (format, options) => new Saturator(format, options),
    parameters: saturatorParameters,
    takesKey: false,
    takesBands: false,
  },
  hysteresis: {
    create: (format, options) => new Hysteresis(format, options),
    parameters: hysteresisParameters,
    requireTogether: requireFriction,
    takesKey: false,
    takesBands: false,
  },
  schroederReverb: {
    create: (format, options) => new SchroederReverb(format, options),
    parameters: schroederReverbParameters,
    takesKey: false,
    takesBands: false,
    reverberates: true,
  },
  feedbackReverb: {
    create: (format, options) => new FeedbackReverb(format, options),
    parameters: feedbackReverbParameters,
    requireTogether: requireSmoothDecay,
    takesKey: false,
    takesBands: false,
    reverberates: true,
  },
  convolutionReverb: {
    create: (format, options, { impulse }) => new ConvolutionReverb(format, options, impulse as ImpulseResponse),
    parameters: convolutionReverbParameters,
    takesKey: false,
    takesBands: false,
    takesImpulse: true,
    reverberates: true,
  },
};
