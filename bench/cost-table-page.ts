/** The table that `estimateCost` works with, as TypeScript: `src/blocks/cost-table.ts`. */
import type { Results } from './results.ts';

/** Tools that a mix has besides its blocks. */
const MIXING = ['track without blocks', 'track with a send', 'track with a bus', 'samples on hits', 'bleed reduction'];

const rounded = (nanoseconds: number): string => String(Number(nanoseconds.toPrecision(3)));

export function costTablePage({ processor, node, blocks, tools }: Results): string {
  const rows = [
    ...blocks.map(
      ({ name, mono, monoSimd, stereo, simd }) =>
        [name, (monoSimd ?? mono ?? stereo).nanoseconds, 2 * (simd ?? stereo).nanoseconds] as const,
    ),
    ...tools.flatMap(({ name, nanoseconds }) =>
      MIXING.includes(name) ? [[name, nanoseconds, 2 * nanoseconds] as const] : [],
    ),
  ];
  return `/**
 * What blocks cost, and what mixing costs besides: ns per frame of one channel, and of two. Measured on
 * ${processor} with Node ${node.slice(1)}, with the SIMD module where a block has work for it.
 *
 * Written by \`npm run bench\`.
 *
 * @module
 */

/** By the names under which they were measured. */
export const costTable: Readonly<Record<string, readonly [one: number, two: number]>> = {
${rows.map(([name, one, two]) => `  '${name}': [${rounded(one)}, ${rounded(two)}],`).join('\n')}
};
`;
}
