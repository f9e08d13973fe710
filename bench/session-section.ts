/** The session of twelve tracks, as a section of the page. */
import { digits, table } from './markdown.ts';
import type { Results } from './results.ts';
import { RATE_HZ } from './sound.ts';

export function sessionSection({ tools, profile, blockTimes }: Results): string {
  const all = profile[profile.length - 1].nanoseconds;
  const sessions = tools.filter(({ name }) => name.startsWith('session'));
  const { blocks, median, percentile999, longest, collections } = blockTimes;
  return `## A session

Twelve tracks with four equaliser bands, gate, compressor and soft clipper each (4x, linear phase, worst alias of a 5 kHz sine
driven by 18 dB: -67.8 dBc), four stereo buses with four bands and compressor, a stereo reverberation of 8 combs to a side, a
stereo limiter: one plan, rendered on one core into nothing.

${table(
  ['', 'ns per frame', 'x real time', 'spread'],
  sessions.map((session) => [
    session.name.replace(', per frame', ''),
    digits(session.nanoseconds),
    digits(1e9 / (session.nanoseconds * RATE_HZ)),
    `${session.spreadPercent.toFixed(0)} %`,
  ]),
)}

Where the time goes:

${table(
  ['', 'ns per frame', 'share'],
  profile.map(({ what, nanoseconds }) => [what, digits(nanoseconds), `${((100 * nanoseconds) / all).toFixed(1)} %`]),
)}

In blocks of 128, ${blocks} of them one by one: median ${digits(median)} us, 99.9th percentile ${digits(percentile999)} us, which is
${digits(percentile999 / median)} times the median, longest ${digits(longest)} us; ${collections} garbage collections. A block lasts ${digits((1e6 * 128) / RATE_HZ)} us.`;
}
