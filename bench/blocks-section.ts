/** What every block and tool costs, as a section of the page. */
import { digits, table } from './markdown.ts';
import type { BlockResult, Cost, Results } from './results.ts';
import { RATE_HZ } from './sound.ts';

const ns = ({ nanoseconds }: Cost): string => digits(nanoseconds);

/** How many times faster than real time all channels are together. */
const timesRealTime = ({ nanoseconds }: Cost, channels: number): string =>
  digits(1e9 / (nanoseconds * channels * RATE_HZ));

const spread = (...costs: readonly (Cost | undefined)[]): string =>
  `${Math.max(...costs.map((cost) => cost?.spreadPercent ?? 0)).toFixed(0)} %`;

function blockRow({ name, mono, stereo, monoSimd, simd, bytesPerBlock, silence, tiny }: BlockResult): string[] {
  return [
    name,
    mono ? ns(mono) : '-',
    ns(stereo),
    monoSimd ? ns(monoSimd) : '',
    simd ? ns(simd) : '',
    stereo.yardsticks.toFixed(2),
    timesRealTime(stereo, 2),
    spread(mono, stereo),
    String(bytesPerBlock),
    silence.toFixed(2),
    tiny.toFixed(2),
  ];
}

export function blocksSection({ processor, node, yardstickNanoseconds, blocks, tools }: Results): string {
  return `## Blocks

On ${processor} with Node ${node}, written by \`npm run bench\`. Per sample of one channel, in blocks of 128, 32-bit floats in
and out, 48 kHz, drum-like sound: ns for one channel, for each of two channels, and for the same with the SIMD module. A
yardstick is four second-order sections in the plainest JavaScript, measured in the same rounds: ${yardstickNanoseconds.toFixed(2)} ns. Multiples of real time are those of two channels on
one core. Spread: half of the rounds lie within. Bytes: what a call allocates. Silence and tiny: the costliest stretch that
follows a second of sound, relative to sound, with 0 and with numbers of 1e-310 coming in.

${table(
  [
    'block',
    'mono',
    'stereo',
    'mono, SIMD',
    'stereo, SIMD',
    'yardsticks',
    'x real time',
    'spread',
    'bytes',
    'silence',
    'tiny',
  ],
  blocks.map(blockRow),
)}

## Tools

${table(
  ['tool', 'ns', 'yardsticks', 'spread'],
  tools.map((tool) => [tool.name, ns(tool), tool.yardsticks.toFixed(2), spread(tool)]),
)}`;
}
