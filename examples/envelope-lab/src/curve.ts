/**
 * The picture of a block without time: what comes out over what goes in.
 *
 *     static      output level over input level of a dynamics block at rest, by the pure functions of the library
 *     transfer    output over input, sample by sample, of a block that bends the waveform: a slow sine, up and down
 *     response    gain over frequency of all other blocks: the transform of their answer to a pulse
 *
 * @module
 */
import { type Processor, RealFft } from 'batterhead/core';
import { expansionCurve, staticGain, upwardCurve } from 'batterhead/dynamics';
import { type BlockSettings, makeBlock, needsTwoChannels } from './render.ts';
import { bandCentres } from './spectrum.ts';

/** A picture of a block. */
export interface Curve {
  readonly kind: 'static' | 'transfer' | 'response';
  /** Level in dB, amplitude, or frequency in Hz. */
  readonly x: Float64Array;
  /** Level in dB, amplitude, or gain in dB. */
  readonly curves: readonly { readonly name: string; readonly y: Float64Array }[];
}

type LevelCurve = (levelDb: number) => number;
/** Values of a block, as far as curves need them. */
type Values = Readonly<
  Record<'thresholdDb' | 'ratio' | 'kneeDb' | 'rangeDb' | 'hysteresisDb' | 'makeupDb' | 'mixPercent', number> &
    Record<'gainDb' | 'ceilingDb', number> & { automaticMakeup: boolean }
>;

const LOWEST_DB = -90;
const STEP_DB = 0.5;

/** Static curves by block. */
const levelCurves: Readonly<Record<string, (p: Values) => Readonly<Record<string, LevelCurve>>>> = {
  gate: (p) => ({
    opening: (level) => level - (level >= p.thresholdDb ? 0 : p.rangeDb),
    closing: (level) => level - (level >= p.thresholdDb - p.hysteresisDb ? 0 : p.rangeDb),
  }),
  expander: (p) => ({ expander: (level) => expansionCurve(level, p) }),
  upwardCompressor: (p) => ({ 'upward compressor': (level) => upwardCurve(level, p) }),
  compressor: (p) => {
    const reduction: LevelCurve = (level) => Math.max(-p.rangeDb, staticGain(level, p));
    const makeupDb = p.makeupDb - (p.automaticMakeup ? reduction(0) / 2 : 0);
    const wet = p.mixPercent / 100;
    return {
      compressor: (level) => level + 20 * Math.log10(1 - wet + wet * 10 ** ((reduction(level) + makeupDb) / 20)),
    };
  },
  dynamicBand: (p) => ({
    band: (level) => level + p.gainDb + Math.sign(p.rangeDb) * Math.min(Math.abs(p.rangeDb), -staticGain(level, p)),
  }),
  limiter: (p) => ({ limiter: (level) => Math.min(level, p.ceilingDb) }),
};

/** Blocks that bend the waveform. */
const BENDING: readonly string[] = ['hardClipper', 'softClipper', 'saturator', 'hysteresis'];
const TRANSFER_HZ = 100;
const PULSE_SAMPLES = 65_536;

/** The picture of a block; none for one that moves by the shape of hits instead of their level. */
export function curveOf(settings: BlockSettings, sampleRateHz: number): Curve | undefined {
  if (settings.block === 'transientShaper') return undefined;
  const channels = needsTwoChannels(settings.block) ? 2 : 1;
  const block = makeBlock(settings, { sampleRateHz, channels });
  if (settings.block in levelCurves) return staticPicture(levelCurves[settings.block](block.values as Values));
  return BENDING.includes(settings.block) ? transferPicture(block) : responsePicture(block);
}

function staticPicture(curves: Readonly<Record<string, LevelCurve>>): Curve {
  const x = Float64Array.from({ length: -LOWEST_DB / STEP_DB + 1 }, (_, i) => LOWEST_DB + i * STEP_DB);
  return { kind: 'static', x, curves: Object.entries(curves).map(([name, curve]) => ({ name, y: x.map(curve) })) };
}

/** Both ways of a sine at full scale, after a cycle and a quarter: the same curve twice, unless the block remembers. */
function transferPicture(block: Processor): Curve {
  const quarter = Math.round(block.format.sampleRateHz / TRANSFER_HZ / 4);
  const input = Float64Array.from({ length: 12 * quarter }, (_, i) => Math.sin((Math.PI * i) / (2 * quarter)));
  const output = new Float64Array(input.length);
  block.process([input], [output]);
  const half = (x: Float64Array, from: number) => x.slice(from, from + 2 * quarter + 1);
  return {
    kind: 'transfer',
    x: half(input, 7 * quarter),
    curves: [
      { name: 'rising', y: half(output, 7 * quarter + block.latencySamples) },
      { name: 'falling', y: half(output, 5 * quarter + block.latencySamples).reverse() },
    ],
  };
}

function responsePicture(block: Processor): Curve {
  const { sampleRateHz, channels } = block.format;
  const pulse = Array.from({ length: channels }, () => new Float64Array(PULSE_SAMPLES));
  pulse[0][0] = 1;
  block.process(pulse, pulse);
  const bins = PULSE_SAMPLES / 2 + 1;
  const [re, im] = [new Float64Array(bins), new Float64Array(bins)];
  new RealFft(PULSE_SAMPLES).forward(pulse[0], re, im);
  const x = bandCentres(sampleRateHz);
  const y = x.map((hz) => {
    const k = Math.round((hz * PULSE_SAMPLES) / sampleRateHz);
    return Math.max(-120, 10 * Math.log10(re[k] * re[k] + im[k] * im[k] + 1e-12));
  });
  return { kind: 'response', x, curves: [{ name: 'gain', y }] };
}
