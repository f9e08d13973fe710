/**
 * From measured pairs to the moves of a kit: which pairs count, which microphones are held, and the fit.
 *
 * @module
 */
import type { AlignmentMethod, AlignmentMove, KitAlignment, KitMicrophone } from './kit-alignment.ts';
import { type Edge, solveDelays, solvePolarities } from './kit-graph.ts';
import type { MeasuredPair, MikedDrum } from './kit-pairs.ts';

/** All that the fit needs. */
export interface KitFit {
  readonly names: readonly string[];
  readonly roles: readonly KitMicrophone['role'][];
  readonly drums: readonly MikedDrum[];
  readonly pairs: readonly MeasuredPair[];
  readonly method: AlignmentMethod;
  readonly byHand: Readonly<Record<string, Partial<AlignmentMove>>>;
  readonly overheadOf: Readonly<Record<string, string>>;
  readonly drumWeights: Readonly<Record<string, number>>;
  readonly maxMoveSamples: number;
}

/** What is less certain than this moves nothing. */
const LEAST_CONFIDENCE = 0.3;

interface RatedPair extends MeasuredPair {
  /** Weight in the fit of the delays; 0 for a pair that does not count. */
  readonly weight: number;
  readonly note: string;
}

/** Fits the moves. */
export function fitKit(kit: KitFit): KitAlignment {
  const { names, byHand } = kit;
  const rated = kit.pairs.map((pair) => ratePair(pair, kit));
  const held = names.map((name, i) => byHand[name]?.delaySamples ?? (isHeld(kit, i) ? 0 : undefined));
  const edges = edgesOf(kit, rated);
  const tooFar = new Set<number>();
  let delays = solveDelays(held, edges);
  for (let i = furthest(kit, delays); i >= 0; i = furthest(kit, delays)) {
    tooFar.add(i);
    held[i] = 0;
    delays = solveDelays(held, edges);
  }
  const polarities = solvePolarities(heldSigns(kit), polarityEdges(kit));
  return {
    moves: Object.fromEntries(
      // -0 would be another number to a careful reader.
      names.map((name, i) => [name, { delaySamples: delays[i] === 0 ? 0 : delays[i], polarity: polarities[i] }]),
    ),
    pairs: rated.map(({ weight, note, ...pair }) => {
      const a = names.indexOf(pair.reference);
      const b = names.indexOf(pair.other);
      const stays = [a, b].find((i) => tooFar.has(i));
      const stayNote = stays === undefined ? '' : `${names[stays]} would move further than allowed, so it stays`;
      return {
        ...pair,
        used: weight > 0 && stays === undefined,
        note: note === '' ? stayNote : note,
        residualSamples: pair.estimate.delaySamples + delays[b] - delays[a],
      };
    }),
  };
}

/** Microphones that the method does not move. */
function isHeld({ method, roles, names, drums, pairs }: KitFit, i: number): boolean {
  if (roles[i] === 'overhead') return method === 'closeToOverheads';
  if (roles[i] === 'room') return !pairs.some((pair) => pair.other === names[i]);
  return method === 'overheadsToDrum' && drums.some(({ microphones: [first] }) => first === names[i]);
}

function ratePair(pair: MeasuredPair, kit: KitFit): RatedPair {
  const { confidence } = pair.estimate;
  const role = kit.roles[kit.names.indexOf(pair.other)];
  if (confidence < LEAST_CONFIDENCE) return { ...pair, weight: 0, note: 'the confidence is too low' };
  if (role === 'close') return { ...pair, weight: confidence, note: '' };
  if (role === 'overhead' && kit.method === 'closeToOverheads') {
    const chosen = overheadFor(pair.drum, kit);
    return chosen === pair.other
      ? { ...pair, weight: confidence, note: '' }
      : { ...pair, weight: 0, note: `${pair.drum} is aligned with ${String(chosen)}` };
  }
  const weight = confidence * (kit.drumWeights[pair.drum] ?? 0);
  const aligned = Object.keys(kit.drumWeights).join(', ');
  return { ...pair, weight, note: weight > 0 ? '' : `${pair.other} is aligned with ${aligned}` };
}

/** The overhead named for a drum, or the one that hears it first. */
function overheadFor(drum: string, { overheadOf, pairs, names, roles }: KitFit): string | undefined {
  if (Object.hasOwn(overheadOf, drum)) return overheadOf[drum];
  const heard = pairs
    .filter((pair) => pair.drum === drum && roles[names.indexOf(pair.other)] === 'overhead')
    .filter(({ estimate }) => estimate.confidence >= LEAST_CONFIDENCE)
    .sort((x, y) => x.estimate.delaySamples - y.estimate.delaySamples);
  return heard.at(0)?.other;
}

function edgesOf({ names }: KitFit, rated: readonly RatedPair[]): Edge[] {
  return rated
    .filter(({ weight }) => weight > 0)
    .map(({ reference, other, weight, estimate: { delaySamples, polarity } }) => ({
      a: names.indexOf(reference),
      b: names.indexOf(other),
      delaySamples,
      polarity,
      weight,
    }));
}

/** Polarity is a property of the path, so every certain pair counts for it, moved together or not. */
function polarityEdges(kit: KitFit): Edge[] {
  return edgesOf(
    kit,
    kit.pairs
      .filter(({ estimate }) => estimate.confidence >= LEAST_CONFIDENCE)
      .map((pair) => ({ ...pair, weight: pair.estimate.confidence, note: '' })),
  );
}

/** Signs that stay: those set by hand, rooms that are not moved, and the overheads or the first of the weighted drums. */
function heldSigns(kit: KitFit): (1 | -1 | undefined)[] {
  const { names, roles, byHand, method, drums, drumWeights } = kit;
  const leader = drums.reduce<MikedDrum | undefined>(
    (most, one) => ((drumWeights[one.drum] ?? 0) > (most ? (drumWeights[most.drum] ?? 0) : 0) ? one : most),
    undefined,
  );
  return names.map((name, i) => {
    const polarity = byHand[name]?.polarity;
    if (polarity !== undefined) return polarity;
    if (roles[i] === 'close') return method === 'overheadsToDrum' && leader?.microphones[0] === name ? 1 : undefined;
    return isHeld(kit, i) ? 1 : undefined;
  });
}

/** The microphone that is moved furthest beyond what is allowed and not by hand, or -1. */
function furthest({ names, byHand, maxMoveSamples }: KitFit, delays: readonly number[]): number {
  let worst = -1;
  delays.forEach((delay, i) => {
    if (byHand[names[i]]?.delaySamples !== undefined || Math.abs(delay) <= maxMoveSamples) return;
    if (worst < 0 || Math.abs(delay) > Math.abs(delays[worst])) worst = i;
  });
  return worst;
}
