/**
 * A consistent set of delays and polarities for all microphones of a kit.
 *
 *     closeToOverheads     each drum's close microphones are delayed until they sound with the overhead that hears it first
 *     overheadsToDrum      the overheads are advanced until they sound with one drum (or a compromise of several, by weights)
 *
 * In both, the close microphones of one drum sound together, and rooms stay as late as they are: they are the depth.
 * Low confidence moves nothing. The sum of weighted squares that is minimised stands in `kit-graph.ts`.
 *
 * @module
 */
import { refuse, requireRange } from '../core/check.ts';
import { member, requireMembers, requireName } from '../core/json-check.ts';
import { cleanSource } from './clean-source.ts';
import type { AlignKitOptions, AlignmentMove, KitAlignment, KitMicrophone } from './kit-alignment.ts';
import { fitKit } from './kit-fit.ts';
import { measurePairs, type MikedDrum } from './kit-pairs.ts';
import { NO_MOVE, requireMoves } from './moves.ts';

const MAX_MOVE_MS = 20;
const FIRST_DRUM = 'snare';
const HIGHEST_WEIGHT = 1000;

/**
 * Aligns a kit.
 *
 * @throws TypeError for an unknown name or a wrong type, RangeError for a value out of range
 */
export function alignKit(microphones: Readonly<Record<string, KitMicrophone>>, options: AlignKitOptions): KitAlignment {
  const drums = mikedDrums(microphones);
  const method = options.method ?? 'closeToOverheads';
  requireOptions(options, method, microphones, drums);
  const { sampleRateHz, maxMoveMs = MAX_MOVE_MS, moves: byHand = {}, overheadOf = {} } = options;
  const names = Object.keys(microphones);
  const roles = names.map((name) => microphones[name].role);
  const far = names.filter((_, i) => roles[i] === 'overhead' || (roles[i] === 'room' && options.moveRooms === true));
  const sources = new Map(names.map((name) => [name, cleanSource(microphones[name].source)]));
  const { weighting, maxDelayMs, maxDistanceMetres, temperatureC } = options;
  const pairs = measurePairs(sources, drums, far, {
    sampleRateHz,
    weighting,
    maxDelayMs,
    maxDistanceMetres,
    temperatureC,
    hits: options.hits ?? {},
  });
  return fitKit({
    names,
    roles,
    drums,
    pairs,
    method,
    byHand,
    overheadOf,
    drumWeights: options.drumWeights ?? firstDrum(drums),
    maxMoveSamples: (maxMoveMs / 1000) * sampleRateHz,
  });
}

/** Drums with a close microphone, in the order of the microphones. */
function mikedDrums(microphones: Readonly<Record<string, KitMicrophone>>): MikedDrum[] {
  const drums = new Map<string, string[]>();
  for (const [name, { role, drum }] of Object.entries(microphones)) {
    requireName(`alignKit: microphones.${name}.role`, role, ['close', 'overhead', 'room']);
    if (role !== 'close') continue;
    if (typeof drum !== 'string') refuse(`alignKit: microphones.${name}.drum`, 'the name of a drum', drum, TypeError);
    drums.set(drum, [...(drums.get(drum) ?? []), name]);
  }
  return [...drums].map(([drum, names]) => ({ drum, microphones: names }));
}

/** The snare, or the first drum of a kit that calls none so. */
function firstDrum(drums: readonly MikedDrum[]): Readonly<Record<string, number>> {
  const first = drums.find(({ drum }) => drum === FIRST_DRUM) ?? drums.at(0);
  return first ? { [first.drum]: 1 } : {};
}

function requireOptions(
  options: AlignKitOptions,
  method: string,
  microphones: Readonly<Record<string, KitMicrophone>>,
  drums: readonly MikedDrum[],
): void {
  const known = ['sampleRateHz', 'method', 'weighting', 'hits', 'overheadOf', 'drumWeights', 'moveRooms', 'maxMoveMs'];
  requireMembers('alignKit', { ...options }, [...known, 'moves', 'maxDelayMs', 'maxDistanceMetres', 'temperatureC']);
  requireRange('alignKit: sampleRateHz', options.sampleRateHz, 8000, 384000);
  requireName('alignKit: method', method, ['closeToOverheads', 'overheadsToDrum']);
  if (options.maxMoveMs !== undefined) requireRange('alignKit: maxMoveMs', options.maxMoveMs, 0, 100);
  const drumNames = drums.map(({ drum }) => drum);
  for (const list of ['hits', 'overheadOf', 'drumWeights'] as const)
    requireMembers(`alignKit: ${list}`, { ...options[list] }, drumNames);
  const moves = Object.entries(options.moves ?? {}).map(([name, move]): [string, AlignmentMove] => [
    name,
    { ...NO_MOVE, ...move },
  ]);
  requireMoves('alignKit', Object.fromEntries(moves), Object.keys(microphones));
  const overheads = Object.keys(microphones).filter((name) => microphones[name].role === 'overhead');
  for (const [drum, name] of Object.entries(options.overheadOf ?? {}))
    requireName(member('alignKit: overheadOf', drum), name, overheads);
  for (const [drum, weight] of Object.entries(options.drumWeights ?? {}))
    requireRange(member('alignKit: drumWeights', drum), weight, 0, HIGHEST_WEIGHT);
}
