/** How cost and memory grow, as a section of the page. */
import { digits, table } from './markdown.ts';
import type { ScalingResult } from './results.ts';
import { RATE_HZ } from './sound.ts';

export function scalingSection(results: readonly ScalingResult[]): string {
  const factors = results.map(({ nanoseconds, estimated }) => estimated / nanoseconds);
  return `## Growth

The same session with other numbers of tracks, and for longer. Time per frame and track is constant where cost grows linearly
with both (the buses, the reverberation and the limiter are the same for all: more tracks share them). The estimate is that of
\`estimateCost\`, which here lies between ${digits(Math.min(...factors))} and ${digits(Math.max(...factors))} times what was measured.

${table(
  ['tracks', 'seconds', 'ns per frame', 'and track', 'x real time', 'estimated', 'peak memory, MB'],
  results.map(({ tracks, seconds, nanoseconds, estimated, peakMegabytes }) => [
    String(tracks),
    String(seconds),
    digits(nanoseconds),
    digits(nanoseconds / tracks),
    digits(1e9 / (nanoseconds * RATE_HZ)),
    digits(estimated),
    digits(peakMegabytes),
  ]),
)}

Written by \`npm run bench:scaling\`.`;
}
