/**
 * What a block costs, from the table of what blocks were measured to cost.
 *
 *     cost of a block = that of its type and settings + key filter + blocks inside its bands        in ns per frame
 *
 * What was not measured follows from what was: an equaliser from one and four sections, the antialiasing of a clipper from
 * that at 4x, other oversampled blocks from the hard clipper's factors. Enough to tell whether a plan will run live and which
 * block is dear; `docs/performance.md` says how close it comes.
 *
 * @module
 */
import { resolveParameters } from '../core/parameters.ts';
import { bandSections, type EqualiserBandOptions } from '../filters/equaliser-bands.ts';
import { type BlockPlan, blockTypeOf, chainsOf } from './block-plan.ts';
import { costTable } from './cost-table.ts';

/** Any rate: nothing that costs depends on it. */
const RATE_HZ = 48_000;

/** Settings as far as they cost, with their defaults filled in. */
interface Settings {
  readonly oversampling: number;
  readonly antialiasing: string;
  readonly curve: string;
  readonly detector: string;
  readonly truePeak: boolean;
  readonly density: string;
  readonly lines: number;
  readonly zeroLatency: boolean;
}

/** What the cost of a block depends on besides its plan. */
export interface CostOptions {
  readonly channels: number;
  /** Length of the impulse response of a convolution. */
  readonly impulseSeconds: number;
}

/** Processor time of a block in ns per frame, all channels together. */
export function blockNanoseconds(block: BlockPlan, options: CostOptions): number {
  const { channels } = options;
  const { keyFilter } = block;
  const inside = chainsOf(block).flat();
  return (
    ownNanoseconds(block, options) +
    (keyFilter ? keyFilterNanoseconds(keyFilter, channels) : 0) +
    inside.reduce((sum, inner) => sum + blockNanoseconds(inner, options), 0)
  );
}

/** Time of something measured, for any number of channels. */
export function measuredNanoseconds(name: string, channels: number): number {
  const [one, two] = costTable[name];
  return channels === 1 ? one : (two * channels) / 2;
}

function ownNanoseconds(block: BlockPlan, { channels, impulseSeconds }: CostOptions): number {
  const { type, bands = [] } = block;
  const of = (variant = ''): number => measuredNanoseconds(`${type}${variant && `, ${variant}`}`, channels);
  const p = settingsOf(block);
  switch (type) {
    case 'equaliser':
      return of('1 band') + (sectionsOf(bands) - 1) * sectionNanoseconds(channels);
    case 'bandSplit':
      return of() + ((chainsOf(block).length - 2) * (of('4 bands') - of())) / 2;
    case 'hardClipper':
    case 'softClipper':
      return clipperNanoseconds(p, type === 'hardClipper' ? 'hard' : p.curve, channels);
    case 'saturator':
    case 'hysteresis':
      return (of() * oversampledNanoseconds(p.oversampling, channels)) / oversampledNanoseconds(8, channels);
    case 'compressor':
      return of(p.detector === 'rms' ? 'rms' : '');
    case 'limiter':
      return of(p.truePeak ? 'true peak' : '');
    case 'schroederReverb':
      return of(p.density === 'medium' ? '' : `${p.density} density`);
    case 'feedbackReverb':
      return of(p.lines === 8 ? '8 lines' : '');
    case 'convolutionReverb':
      return of(p.zeroLatency ? '' : 'late') + ((impulseSeconds - 1) * (of('4 s') - of())) / 3;
    default:
      return of();
  }
}

const settingsOf = (block: BlockPlan): Settings =>
  resolveParameters('', blockTypeOf(block).parameters, block.options as object, RATE_HZ) as unknown as Settings;

const sectionsOf = (bands: readonly EqualiserBandOptions[]): number =>
  bands.reduce((sum, { order = 2 }) => sum + bandSections(order), 0);

/** One section more. */
const sectionNanoseconds = (channels: number): number =>
  (measuredNanoseconds('equaliser', channels) - measuredNanoseconds('equaliser, 1 band', channels)) / 3;

function keyFilterNanoseconds(bands: readonly EqualiserBandOptions[], channels: number): number {
  const one = measuredNanoseconds('compressor, key filter', channels) - measuredNanoseconds('compressor', channels);
  return one + (sectionsOf(bands) - 1) * sectionNanoseconds(channels);
}

/** The hard clipper, which does next to nothing besides the oversampling. */
const oversampledNanoseconds = (factor: number, channels: number): number =>
  measuredNanoseconds(factor === 8 ? 'hardClipper' : `hardClipper, ${factor}x`, channels);

/** Names of the ways of antialiasing that cost. */
const ANTIALIASINGS: Readonly<Record<string, string>> = {
  firstAntiderivative: 'first antiderivative',
  secondAntiderivative: 'second antiderivative',
  cornerCorrection: 'corner correction',
};

/** The curve and its antialiasing run at the high rate: what they cost more at 4x is taken in proportion. */
function clipperNanoseconds({ oversampling, antialiasing }: Settings, curve: string, channels: number): number {
  const at = (name: string): number => measuredNanoseconds(name, channels);
  const plain = at('hardClipper, 4x');
  const soft = { hard: plain, tanh: at('softClipper, 4x'), cubic: at('softClipper, 4x, cubic') }[curve] as number;
  const way = ANTIALIASINGS[antialiasing] as string | undefined;
  const alone = `hardClipper, 1x, ${way}`; // has a delay to flatten, too
  const remedy =
    way === undefined
      ? 0
      : oversampling === 1 && Object.hasOwn(costTable, alone)
        ? at(alone) - at('hardClipper, 1x')
        : ((at(`hardClipper, 4x, ${way}`) - plain) * oversampling) / 4;
  return oversampledNanoseconds(oversampling, channels) + ((soft - plain) * oversampling) / 4 + remedy;
}
