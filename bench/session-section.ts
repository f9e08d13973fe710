/** The session of twelve tracks, as a section of the page. */
import { digits, table } from './markdown.ts';
import type { Results } from './results.ts';
import { RATE_HZ } from './sound.ts';

/** What is to be reached, by the names of the tools. */
const targets: Readonly<Record<string, string>> = {
  'session, plain, per frame': '>= 20 x real time',
  'session, per frame': '>= 30 x real time',
  'session of 24 tracks live, per frame': '<= 30 % of a core',
};

export function sessionSection({ tools, profile, blockTimes }: Results): string {
  const all = profile[profile.length - 1].nanoseconds;
  const sessions = tools.filter(({ name }) => name.startsWith('session'));
  const { blocks, median, percentile999, longest, collections } = blockTimes;
  return `## A session

Twelve tracks with four equaliser bands, gate, compressor and soft clipper each (4x, linear phase, worst alias of a 5 kHz sine
driven by 18 dB: -67.8 dBc), four stereo buses with four bands and compressor, a stereo reverberation of 8 combs to a side, a
stereo limiter: one plan, rendered on one core into nothing, with the SIMD module unless it says plain. Live: what the mixer node does in a quantum of 128 frames, in
Node. More cores: [threads](proofs/threads.md).

${table(
  ['', 'ns per frame', 'x real time', '% of a core', 'target', 'spread'],
  sessions.map(({ name, nanoseconds, spreadPercent }) => [
    name.replace(', per frame', ''),
    digits(nanoseconds),
    digits(1e9 / (nanoseconds * RATE_HZ)),
    digits((nanoseconds * RATE_HZ) / 1e7),
    targets[name] ?? '',
    `${spreadPercent.toFixed(0)} %`,
  ]),
)}

Where the time goes:

${table(
  ['', 'ns per frame', 'share'],
  profile.map(({ what, nanoseconds }) => [what, digits(nanoseconds), `${((100 * nanoseconds) / all).toFixed(1)} %`]),
)}

In blocks of 128, ${blocks} of them one by one, each the least of three times: median ${digits(median)} us, 99.9th percentile ${digits(percentile999)} us, which is
${digits(percentile999 / median)} times the median (target: at most 5), longest ${digits(longest)} us, ${digits(longest / median)} times (target: at most 10); garbage
collections in all three: ${collections}. A block lasts ${digits((1e6 * 128) / RATE_HZ)} us.`;
}
