import { describe, expect, it } from 'vitest';
import { SilenceWatch } from '../../src/reverb/silence.ts';
import { constant } from '../support/signals.ts';

/** Half a decade a sample: 44 decades are 88 samples. */
const HALF = Float64Array.of(9, 0.5);
const hear = (watch: SilenceWatch, ...rows: readonly (readonly number[])[]): void => {
  watch.listen(
    rows.map((row) => Float64Array.from(row)),
    rows[0].length,
  );
};
const silence = (watch: SilenceWatch, count: number): void => watch.listen([new Float64Array(count)], count);

/** How many silent samples it has counted: 88 less those that are wanted still. It is empty afterwards. */
function counted(watch: SilenceWatch): number {
  for (let more = 0; more <= 88; more++) {
    if (watch.shouldEmpty(HALF, 1)) return 88 - more;
    silence(watch, 1);
  }
  return NaN;
}

describe('SilenceWatch', () => {
  it('has loops emptied once when their loudest has decayed by 44 decades in silence, and takes them to be empty', () => {
    const watch = new SilenceWatch();
    silence(watch, 87);
    expect([watch.shouldEmpty(HALF, 1), watch.empty]).toEqual([false, false]);
    silence(watch, 1);
    expect([watch.shouldEmpty(HALF, 1), watch.empty]).toEqual([true, true]);
    silence(watch, 100);
    expect([watch.shouldEmpty(HALF, 1), watch.empty]).toEqual([false, true]);
  });

  it('takes a faster decay to its end sooner', () => {
    const watch = new SilenceWatch();
    silence(watch, 10);
    expect(watch.shouldEmpty(Float64Array.of(4), 0)).toBe(false);
    silence(watch, 1);
    expect(watch.shouldEmpty(Float64Array.of(4), 0)).toBe(true);
  });

  it('counts from the last sample that sounds in any channel, through all that comes after', () => {
    const watch = new SilenceWatch();
    silence(watch, 50);
    hear(watch, [0, 0, 1, 0, 0, 0], [0, 1, 0, 0, 0, 0], [0, 0, 0, 0, 0, 0]);
    silence(watch, 20);
    silence(watch, 4);
    expect(counted(watch)).toBe(3 + 24);
  });

  it('is wakened by a sound, and counts anew when told so', () => {
    const watch = new SilenceWatch();
    silence(watch, 88);
    expect(watch.shouldEmpty(HALF, 1)).toBe(true);
    hear(watch, [1, 0]);
    expect(watch.empty).toBe(false);
    silence(watch, 40);
    watch.restart();
    silence(watch, 5);
    expect(counted(watch)).toBe(5);
    expect(watch.empty).toBe(true);
    watch.restart();
    expect(watch.empty).toBe(true); // nothing has come that could decay
  });

  it('zeroes what lies below 600 dB under full scale and keeps the rest, whatever stands beside it', () => {
    const values = [0, 9.99e-31, -9.99e-31, 1e-30, -1e-30, 0.5];
    const sounds = (x: number) => Math.abs(x) >= 1e-30;
    const wrong: string[] = [];
    for (let pattern = 0; pattern < values.length ** 4; pattern++) {
      const x = Array.from({ length: 4 }, (_, i) => values[Math.floor(pattern / values.length ** i) % values.length]);
      for (const count of [3, 4]) {
        const heard = Float64Array.from(x),
          watch = new SilenceWatch();
        watch.listen([heard], count);
        const kept = x.every((v, i) => heard[i] === (i >= count || sounds(v) ? v : 0));
        const silent = count - 1 - x.slice(0, count).findLastIndex(sounds);
        if (!kept || watch.state[0][0] !== silent)
          wrong.push(`${count} of ${x.join()}: ${heard.join()}, ${watch.state[0].join()}`);
      }
    }
    expect(wrong).toEqual([]);
  });

  it('goes on from its state, and is a new one after reset()', () => {
    const watch = new SilenceWatch(),
      other = new SilenceWatch();
    silence(watch, 88);
    watch.shouldEmpty(HALF, 1);
    expect(watch.state).toHaveLength(1);
    watch.state.forEach((array, i) => other.state[i].set(array));
    expect(other.empty).toBe(true);
    watch.reset();
    expect(watch.empty).toBe(false);
    expect(counted(watch)).toBe(0);
    watch.listen([constant(1, 4)], 4);
    expect(counted(watch)).toBe(0);
  });
});
