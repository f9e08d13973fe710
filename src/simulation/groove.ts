/**
 * What the player plays: bars of sixteen steps, four bars to a phrase.
 *
 *     X accent    x stroke    g ghost note    o open hat    p foot on the hat    . rest
 *
 * Odd phrases keep time on the hat and end in a short fill, even ones on the ride and end in a long one; a crash opens
 * each. The groove is the project's own.
 *
 * @module
 */
import type { DrumName, StrokeName } from './names.ts';

/** Sixteen steps for some of the drums. */
export type Bar = Readonly<Partial<Record<DrumName, string>>>;

/** What a letter asks for. */
export interface StepMark {
  readonly velocity: number;
  readonly stroke: StrokeName;
}

export const stepMarks: Readonly<Record<string, StepMark>> = {
  X: { velocity: 0.94, stroke: 'normal' },
  x: { velocity: 0.68, stroke: 'normal' },
  g: { velocity: 0.16, stroke: 'normal' },
  o: { velocity: 0.8, stroke: 'open' },
  p: { velocity: 0.55, stroke: 'pedal' },
};

export const STEPS_PER_BAR = 16;
const BARS_PER_PHRASE = 4;

const HAT_BAR: Bar = {
  hat: 'X.x.X.x.X.x.X.x.',
  snare: '....X..g.g..X..g',
  kick: 'X.....x.x.X..x..',
};

const OPEN_HAT_BAR: Bar = {
  hat: 'X.x.X.x.X.x.X.o.',
  snare: '....X..g.g..X.g.',
  kick: 'X.x....x..X.....',
};

const RIDE_BAR: Bar = {
  ride: 'X.x.X.xxX.x.X.x.',
  hat: '....p.......p...',
  snare: '....X..g.g.gX..g',
  kick: 'X..x..x...X..x..',
};

const SHORT_FILL: Bar = {
  hat: 'X.x.X.x.X.x.....',
  snare: '....X..g.gg.Xx..',
  tom1: '..............X.',
  tom2: '...............x',
  kick: 'X.....x...X.x...',
};

const LONG_FILL: Bar = {
  hat: '....p...p...p...',
  snare: 'XgxxX...........',
  tom1: '.....xXxX..x....',
  tom2: '.........xX.XxXx',
  kick: 'X...x...x...X.x.',
};

const LAST_BAR: Bar = { kick: 'X...............' };

/** The bar at `index`, counted from 0, of a song of `bars` bars; index `bars` is the last stroke. */
export function barAt(index: number, bars: number): Bar {
  const phrase = Math.floor(index / BARS_PER_PHRASE);
  const place = index % BARS_PER_PHRASE;
  const onRide = phrase % 2 === 1;
  if (index === bars) return withCrash(LAST_BAR, 'crashRight');
  if (place === BARS_PER_PHRASE - 1) return onRide ? LONG_FILL : SHORT_FILL;
  const bar = onRide ? RIDE_BAR : place === 1 ? OPEN_HAT_BAR : HAT_BAR;
  return place === 0 ? withCrash(bar, onRide ? 'crashRight' : 'crashLeft') : bar;
}

/** The bar with a crash on its first step, for which the hand leaves hat or ride. */
function withCrash(bar: Bar, crash: DrumName): Bar {
  const opened: Partial<Record<DrumName, string>> = { ...bar, [crash]: 'X...............' };
  if (bar.ride) opened.ride = `.${bar.ride.slice(1)}`;
  else if (bar.hat) opened.hat = `.${bar.hat.slice(1)}`;
  return opened;
}
