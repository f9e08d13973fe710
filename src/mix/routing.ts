/**
 * Routing: in which order the strips of a plan run, and by how much every path is delayed so that all of them meet in
 * time.
 *
 *     start(s) = max( end(r) of every r that feeds s,  end(k) - upstream(b) of every block b of s that listens to k )
 *     end(s)   = start(s) + latency of the chain of s
 *
 * where upstream(b) is the latency of the blocks before b. A path from r to s is delayed by start(s) - end(r); a key by
 * start(s) + upstream(b) - end(k). Nothing is early, so no delay is negative.
 *
 * @module
 */

/** One strip as the routing sees it. */
export interface RoutedStrip {
  /** Its path in the plan: `channels.snare`, `buses.drums`, `mixBus`. */
  readonly path: string;
  /** Latency of each block of its chain, in samples. */
  readonly latencies: readonly number[];
  /** Where its signal goes; the position in the plan is for messages. */
  readonly feeds: readonly { readonly to: string; readonly where: string }[];
  /** What its blocks listen to. */
  readonly keys: readonly { readonly block: number; readonly from: string; readonly where: string }[];
}

/** Order and times of a strip. */
export interface Timing {
  /** Time, in samples after the inputs, at which the strip's chain begins. */
  readonly start: number;
  /** Time at which its chain ends. */
  readonly end: number;
}

/** The strips' paths in an order in which each comes after all it hears, with their timings. */
export function route(strips: readonly RoutedStrip[]): ReadonlyMap<string, Timing> {
  const timings = new Map<string, Timing>();
  const byPath = new Map(strips.map((strip) => [strip.path, strip]));
  const visiting: string[] = [];

  const visit = (strip: RoutedStrip): Timing => {
    const known = timings.get(strip.path);
    if (known) return known;
    visiting.push(strip.path);
    let start = 0;
    const hear = (path: string, where: string): Timing => {
      if (visiting.includes(path)) {
        const loop = [...visiting.slice(visiting.indexOf(path)), path].join(' <- ');
        throw new RangeError(`${where} must not close a loop, got ${loop}`);
      }
      return visit(byPath.get(path) as RoutedStrip);
    };
    for (const source of strips) {
      for (const { to, where } of source.feeds) {
        if (to === strip.path) start = Math.max(start, hear(source.path, where).end);
      }
    }
    for (const { block, from, where } of strip.keys) {
      start = Math.max(start, hear(from, where).end - total(strip.latencies.slice(0, block)));
    }
    visiting.pop();
    const timing = { start, end: start + total(strip.latencies) };
    timings.set(strip.path, timing);
    return timing;
  };

  strips.forEach(visit);
  return timings;
}

/** Sum of latencies. */
export function total(latencies: readonly number[]): number {
  return latencies.reduce((sum, latency) => sum + latency, 0);
}
