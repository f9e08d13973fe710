/**
 * A comparison of the library with something published: what is compared, where it is published, how far apart the two
 * may be, and how far apart they are.
 */

/** One row of the page. */
export interface Check {
  /** What is compared, and at how many points. */
  readonly what: string;
  /** The publication. */
  readonly source: string;
  /** How the published values were made into numbers, where another program had to. */
  readonly by?: string;
  /** Largest distance that is allowed: the publisher's tolerance, or the last digit that is printed. */
  readonly tolerance: number;
  readonly unit: '' | 'dB' | 'LU' | 's' | 'Hz' | 'samples' | '%' | 'm/s';
  /** The largest distance that there is. */
  readonly measure: () => number;
}

/** The largest of absolute differences; NaN counts as infinitely far. */
export const farthest = (differences: Iterable<number>): number => {
  let most = 0;
  for (const difference of differences)
    most = Math.max(most, Number.isNaN(difference) ? Infinity : Math.abs(difference));
  return most;
};
