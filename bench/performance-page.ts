/** The page `docs/performance.md`. */
import type { BlockResult, Cost, Results } from './results.ts';
import { RATE_HZ } from './sound.ts';

const row = (cells: readonly string[]): string => `| ${cells.join(' | ')} |`;

export function table(header: readonly string[], rows: readonly (readonly string[])[]): string {
  const rule = header.map((_, c) => (c === 0 ? '---' : '---:'));
  return [header, rule, ...rows].map(row).join('\n');
}

const ns = ({ nanoseconds }: Cost): string => nanoseconds.toFixed(nanoseconds < 10 ? 2 : 1);

/** How many times faster than real time, all channels together. */
function timesRealTime({ nanoseconds }: Cost, channels: number): string {
  return (1e9 / (nanoseconds * channels * RATE_HZ)).toPrecision(3).replace(/e.*/, '');
}

const spread = (...costs: readonly (Cost | undefined)[]): string =>
  `${Math.max(...costs.map((cost) => cost?.spreadPercent ?? 0)).toFixed(0)} %`;

function blockRow(block: BlockResult): string[] {
  const { name, mono, stereo } = block;
  return [
    name,
    mono ? ns(mono) : '-',
    ns(stereo),
    stereo.yardsticks.toFixed(2),
    timesRealTime(stereo, 2),
    spread(mono, stereo),
    String(block.bytesPerBlock),
    block.silence.toFixed(2),
    block.tiny.toFixed(2),
  ];
}

export function performancePage(results: Results): string {
  return `# Performance

Written by \`npm run bench\`, on ${results.processor} with Node ${results.node}. Absolute times differ between machines and, on a busy one,
between runs: compare ratios.

## Blocks

Per sample of one channel, in blocks of 128, 32-bit floats in and out, 48 kHz, drum-like sound: ns for one channel, for each of
two channels, and the latter in yardsticks (four second-order sections in plain JavaScript, measured in the same rounds:
${results.yardstickNanoseconds.toFixed(2)} ns). Multiples of real time are those of two channels on one core. Spread: half of the rounds lie within. Bytes are
what a call allocates. Silence and tiny: the costliest stretch after sound, relative to sound, with 0 or 1e-310 coming in.

${table(
  ['block', 'mono', 'stereo', 'yardsticks', 'x real time', 'spread', 'bytes', 'silence', 'tiny'],
  results.blocks.map(blockRow),
)}

## Tools

${table(
  ['tool', 'ns', 'yardsticks', 'spread'],
  results.tools.map((tool) => [tool.name, ns(tool), tool.yardsticks.toFixed(2), spread(tool)]),
)}
`;
}
