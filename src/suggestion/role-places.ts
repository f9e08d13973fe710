/**
 * Which microphone of a drum, and which side: what two microphones of one class tell apart.
 *
 *     kick       inside hears the beater before outside does
 *     snare      the lower microphone hears the batter head move the other way: inverted against what hangs above the kit
 *     toms       floor or rack by the fundamental
 *     overheads, rooms    the left one is nearer to the drums on the player's left: hat, snare, rack tom; farther from
 *                         floor tom and ride. A left-handed kit comes out mirrored.
 *
 * Source: common practice; polarity: a head that moves up pushes the air above it and pulls the air below.
 *
 * @module
 */
import { estimateDelay } from '../alignment/delay-estimate.ts';
import { exp, log2 } from '../core/maths.ts';
import type { Listening } from './listening.ts';
import { nameHint, type Place } from './name-hints.ts';
import type { RoleClass } from './role-model.ts';

/** Where a microphone of its class stands. */
export interface PlaceGuess {
  /** Undefined where the class has one place, or for what stands in the middle. */
  readonly place: Place | undefined;
  /** 0.5 (a guess) to 1. */
  readonly confidence: number;
  readonly reason: string | undefined;
}

/** Differences that make sure by 73 %. */
const SURE_LAG_MS = 0.15;
const NO_LAG_MS = 0.05;
const SURE_SIDE_MS = 0.3;
const SURE_SEMITONES = 1.5;
const SURE_HIGHS_DB = 4;
const POLARITY_WEIGHT = 6;
/** What a name is worth beside these. */
const NAME_WORTH = 4;
/** A tom alone is a floor tom below. */
const LOWEST_RACK_HZ = 105;
const MOST_HITS = 24;
/** Where drums stand, from the player's left (-1) to the right (1): common practice. */
const SIDES: Readonly<Partial<Record<RoleClass | Place, number>>> = {
  hat: -1,
  snare: -0.3,
  rack: -0.2,
  kick: 0,
  floor: 0.7,
  ride: 0.8,
};

const UNKNOWN: PlaceGuess = { place: undefined, confidence: 1, reason: undefined };
const logistic = (x: number): number => 1 / (1 + exp(-Math.min(30, x)));

/** The place of every microphone. */
export function rolePlaces(listening: Listening, classes: readonly RoleClass[]): PlaceGuess[] {
  const places = new Array<PlaceGuess>(classes.length).fill(UNKNOWN);
  const of = (role: RoleClass) => classes.map((_, m) => m).filter((m) => classes[m] === role);
  const put = (group: readonly number[], guesses: readonly PlaceGuess[]) => {
    guesses.forEach((guess, i) => (places[group[i]] = guess));
  };
  const above = [...of('overhead'), ...of('room')];
  put(of('kick'), inOrder(listening, of('kick'), insideness(listening, of('kick')), ['inside', 'outside']));
  put(of('snare'), inOrder(listening, of('snare'), topness(listening, of('snare'), above), ['top', 'bottom']));
  put(of('tom'), tomPlaces(listening, of('tom')));
  const drumSides = sidesOfDrums(listening, classes, places);
  for (const role of ['overhead', 'room'] as const) {
    const group = of(role);
    if (group.length > 1)
      put(group, inOrder(listening, group, leftness(listening, group, drumSides), ['left', 'right']));
  }
  return places;
}

/** What speaks for the first of two places, in nepers, and in words. */
interface Evidence {
  readonly score: number;
  readonly text: string;
}

/** The microphone with the most evidence takes the first place, the one with the least the last; between them is no place. */
function inOrder(
  { microphones }: Listening,
  group: readonly number[],
  evidence: readonly Evidence[],
  [first, last]: readonly [Place, Place],
): PlaceGuess[] {
  const named = group.map((m) => nameHint(microphones[m].file).place ?? sideOfChannel(microphones, m));
  if (group.length === 1) {
    return [{ place: named[0] === last ? last : first, confidence: 1, reason: 'the only one of its drum' }];
  }
  const worth = (place: Place | undefined) => (place === first ? NAME_WORTH : place === last ? -NAME_WORTH : 0);
  const scores = evidence.map(({ score }, i) => score + worth(named[i]));
  const order = group.map((_, i) => i).sort((a, b) => scores[b] - scores[a]);
  return group.map((_, i): PlaceGuess => {
    const rank = order.indexOf(i);
    const gap = Math.min(
      ...[rank - 1, rank + 1].flatMap((r) => (r in order ? [Math.abs(scores[order[r]] - scores[i])] : [])),
    );
    const place = rank === 0 ? first : rank === order.length - 1 ? last : undefined;
    return { place, confidence: logistic(gap), reason: evidence[i].text };
  });
}

/** Left and right of a file with two channels. */
function sideOfChannel(microphones: Listening['microphones'], m: number): Place | undefined {
  const { file, channel } = microphones[m];
  const mates = microphones.filter((other) => other.file === file);
  return mates.length === 2 ? (channel === 0 ? 'left' : 'right') : undefined;
}

/** The sooner a microphone hears the kick, the farther inside it is. */
function insideness({ figures }: Listening, group: readonly number[]): Evidence[] {
  const lags = group.map((m) => figures[m]?.lagMs ?? 0);
  return lags.map((lag) => ({
    score: -lag / SURE_LAG_MS,
    text: lag < NO_LAG_MS ? 'hears the beater first' : `hears the beater ${lag.toFixed(1)} ms after the first`,
  }));
}

/** The upper microphone agrees with what hangs above; the lower one is nearer to the wires, hence brighter. */
function topness(listening: Listening, group: readonly number[], above: readonly number[]): Evidence[] {
  if (group.length < 2) return group.map(() => ({ score: 0, text: '' }));
  const highs = group.map((m) => listening.figures[m]?.highDb ?? 0);
  const mean = highs.reduce((a, b) => a + b, 0) / highs.length;
  return group.map((m, i) => {
    const agreement = polarityAgainst(listening, m, above);
    const sign = agreement < 0 ? 'inverted against' : 'in polarity with';
    return {
      score: POLARITY_WEIGHT * agreement - (highs[i] - mean) / SURE_HIGHS_DB,
      text: agreement === 0 ? `${(highs[i] - mean).toFixed(1)} dB brighter than both` : `${sign} the microphones above`,
    };
  });
}

/** Mean over other microphones of polarity times confidence: -1 to 1. */
function polarityAgainst(
  { excerpts, figures, drums, sampleRateHz }: Listening,
  m: number,
  others: readonly number[],
): number {
  const own = figures[m];
  if (!own || others.length === 0) return 0;
  const loudest = [...drums[own.drum].events].sort((a, b) => b.levelsDb[m] - a.levelsDb[m]).slice(0, MOST_HITS);
  const hitSamples = loudest
    .map(({ sample, lags }) => sample + (Number.isNaN(lags[m]) ? 0 : lags[m]))
    .sort((a, b) => a - b);
  const signs = others.map((other) => {
    const options = { sampleRateHz, hitSamples, maxDistanceMetres: 8 };
    const { polarity, confidence } = estimateDelay(excerpts[m], excerpts[other], options);
    return polarity * confidence;
  });
  return signs.reduce((a, b) => a + b, 0) / signs.length;
}

/** Of several toms the lowest is the floor tom; a tom alone is one by its pitch. A name wins. */
function tomPlaces({ microphones, figures }: Listening, group: readonly number[]): PlaceGuess[] {
  const pitches = group.map((m) => 12 * log2((figures[m]?.fundamentalHz ?? NaN) / LOWEST_RACK_HZ));
  const lowest = pitches.reduce((low, pitch) => (pitch < low ? pitch : low), Infinity);
  return group.map((m, i): PlaceGuess => {
    const hint = nameHint(microphones[m].file);
    if (hint.role === 'tom' && hint.place)
      return { place: hint.place, confidence: 1, reason: `its name says ${hint.place}` };
    const others = pitches.filter((_, o) => o !== i);
    const place = (group.length === 1 ? pitches[i] < 0 : pitches[i] === lowest) ? 'floor' : 'rack';
    const gap =
      group.length === 1
        ? Math.abs(pitches[i])
        : place === 'floor'
          ? Math.min(...others) - lowest
          : pitches[i] - lowest;
    const compared = group.length === 1 ? 'alone' : place === 'floor' ? 'the lowest' : 'not the lowest';
    const known = !Number.isNaN(gap);
    return {
      place,
      confidence: known ? logistic(gap / SURE_SEMITONES) : 0.5,
      reason: known ? `fundamental ${(figures[m]?.fundamentalHz ?? NaN).toFixed(0)} Hz, ${compared}` : undefined,
    };
  });
}

/** On which side each drum stands, by the class of the microphone that leads at it. */
function sidesOfDrums({ drums }: Listening, classes: readonly RoleClass[], places: readonly PlaceGuess[]): number[] {
  return drums.map(({ leaders }) => {
    const [leader] = leaders;
    return SIDES[places[leader].place ?? classes[leader]] ?? SIDES[classes[leader]] ?? NaN;
  });
}

/** By how much later a microphone hears the right side of the kit than the left, in ms over its width. */
function leftness({ drums }: Listening, group: readonly number[], sides: readonly number[]): Evidence[] {
  const slopes = group.map((m) => {
    const known = drums.map((drum, d) => [sides[d], drum.lagsMs[m]]).filter((pair) => !pair.some(Number.isNaN));
    const mean = (c: number) => known.reduce((sum, pair) => sum + pair[c], 0) / known.length;
    const [side, lag] = [mean(0), mean(1)];
    const spread = known.reduce((sum, [x]) => sum + (x - side) * (x - side), 0);
    return spread > 0 ? known.reduce((sum, [x, y]) => sum + (x - side) * (y - lag), 0) / spread : 0;
  });
  const middle = slopes.reduce((a, b) => a + b, 0) / slopes.length;
  return slopes.map((slope) => ({
    score: (slope - middle) / SURE_SIDE_MS,
    text: `nearer to the ${slope > middle ? 'hat' : 'floor tom'} than its pair by ${Math.abs(slope - middle).toFixed(1)} ms`,
  }));
}
