/**
 * The class of every microphone of a kit, found for all of them together.
 *
 *     microphones x slots, each slot once:    kick kick  snare snare  tom x 6  hat  ride  overhead overhead  room room ...
 *
 * What makes one microphone the hat is also that no other is more like a hat. Each takes the slot that costs the kit as a
 * whole the least (`assignment.ts`); slots beyond the usual ones cost extra. Microphones that hear one drum within 0.5 ms of
 * each other, as the two of a snare do, are of one class: what their figures say is averaged. How sure: by how much the kit would cost
 * more if this microphone were anything else.
 *
 * @module
 */
import { exp } from '../core/maths.ts';
import { assign } from './assignment.ts';
import type { Listening } from './listening.ts';
import { NAME_WEIGHT, nameHint } from './name-hints.ts';
import type { MicrophoneFigures } from './microphone-figures.ts';
import { costsOf, reasonsFor, type RoleClass, roleClasses } from './role-model.ts';
import { SAME_DRUM_MS } from './struck-drums.ts';

/** The class of one microphone. */
export interface ClassGuess {
  readonly role: RoleClass;
  /** 0.5 (as likely something else) to 1. */
  readonly confidence: number;
  readonly reasons: readonly string[];
}

/** What each further microphone of a class costs: common practice, one or two of most, as many toms as there are. */
const SURCHARGES: Readonly<Record<RoleClass, readonly number[]>> = {
  kick: [0, 0, 5],
  snare: [0, 0, 5],
  tom: [0, 0, 0, 1, 2, 3],
  hat: [0, 5],
  ride: [0, 2, 3, 4],
  overhead: [0, 0, 0, 0],
  room: [0, 0, 1, 1, 2, 2],
};
/** Of a microphone for which its class has no usual slot. */
const CROWDED = 12;
/** What a kit with so many overheads costs: two hang above most. */
const OVERHEADS = [3, 3, 0, 3, 4] as const;
/** Figures are not independent, so that their likelihoods overstate: what they say counts half. */
const TEMPER = 0.5;
/** What each of two microphones at a drum that is no kick and no snare costs: these are the ones that have two. */
const DOUBLE_MIKED = 1.5;
const NEVER = 1e6;

type Likings = Readonly<Record<RoleClass, number>>;

/** Classes of all microphones, and what they cost together. */
interface KitClasses {
  readonly roles: readonly RoleClass[];
  readonly cost: number;
}

/** The class of every microphone. */
export function roleClassesOf({ microphones, figures }: Listening): ClassGuess[] {
  const hints = microphones.map(({ file }) => nameHint(file));
  const heard = figures.map((own) => likingsOf(own));
  const costs = microphones.map((_, m): Likings => {
    const mates = figures.flatMap((other, o) => (o === m || atOneDrum(figures[m], other) ? [heard[o]] : []));
    return forEachClass((role) => {
      const mean = mates.reduce((sum, own) => sum + own[role], 0) / mates.length;
      const crowd = mates.length > 1 && role !== 'kick' && role !== 'snare' ? DOUBLE_MIKED : 0;
      return mean + crowd - (hints[m].role === role ? NAME_WEIGHT : 0);
    });
  });
  const best = cheapestKit(costs);
  return microphones.map((_, m) => {
    const role = best.roles[m];
    const second = cheapestKit(costs.map((own, other) => (other === m ? { ...own, [role]: NEVER } : own)));
    const own = figures[m];
    const reasons = own ? reasonsFor(own, role, second.roles[m]) : [];
    return {
      role,
      confidence: 1 / (1 + exp(best.cost - second.cost)),
      reasons: [
        ...(hints[m].role === undefined ? [] : [`its name says ${hints[m].role}`]),
        ...(own ? [] : ['no stroke was heard in it']),
        ...(own && reasons.length > 0 ? [`rather ${role} than ${second.roles[m]}: ${reasons.join(', ')}`] : []),
      ],
    };
  });
}

const forEachClass = (cost: (role: RoleClass) => number): Likings =>
  Object.fromEntries(roleClasses.map((role) => [role, cost(role)])) as Record<RoleClass, number>;

/** What the figures of a microphone say; nothing where there are none. */
function likingsOf(own: MicrophoneFigures | undefined): Likings {
  return forEachClass((role) => (own ? TEMPER * costsOf(own, role).reduce((sum, cost) => sum + cost, 0) : 0));
}

/** Whether two microphones stand at one drum. */
function atOneDrum(a: MicrophoneFigures | undefined, b: MicrophoneFigures | undefined): boolean {
  return a !== undefined && b !== undefined && a.drum === b.drum && Math.max(a.lagMs, b.lagMs) < SAME_DRUM_MS;
}

/** The cheapest classes for a kit: the best assignment for each number of overheads, and the best of these. */
function cheapestKit(costs: readonly Likings[]): KitClasses {
  const kits = OVERHEADS.flatMap((extra, overheads) => {
    if (overheads > costs.length) return [];
    const { roles, cost } = cheapestWith(costs, overheads);
    return [{ roles, cost: cost + extra }];
  });
  return kits.reduce((best, kit) => (kit.cost < best.cost ? kit : best));
}

/** The cheapest classes with exactly so many overheads. */
function cheapestWith(costs: readonly Likings[], overheads: number): KitClasses {
  const slots = roleClasses.flatMap((role) => {
    const length = role === 'overhead' ? overheads : Math.max(SURCHARGES[role].length, costs.length);
    return Array.from({ length }, (_, i) => ({ role, surcharge: SURCHARGES[role][i] ?? CROWDED }));
  });
  // Each overhead's slot must be taken: it is cheap enough to win against all others.
  const reward = (role: RoleClass) => (role === 'overhead' ? 2 * NEVER * costs.length : 0);
  const table = costs.map((own) => slots.map(({ role, surcharge }) => own[role] + surcharge - reward(role)));
  const roles = assign(table).map((slot) => slots[slot]);
  const cost = roles.reduce((sum, { role, surcharge }, m) => sum + costs[m][role] + surcharge, 0);
  return { roles: roles.map(({ role }) => role), cost };
}
