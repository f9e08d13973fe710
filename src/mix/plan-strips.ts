/**
 * The strips of a plan in one form: channels, buses and the mix bus, each by its path, with the places it goes to.
 *
 *     channels.snare, buses.drums, mixBus --> output
 *
 * @module
 */
import { type BusPlan, MIX_BUS, type MixPlan, stripParameters } from './plan.ts';
import { route, type RoutedStrip } from './routing.ts';

/** A strip with its path. */
export interface PlannedStrip {
  /** `channels.snare`, `buses.drums` or `mixBus`. */
  readonly path: string;
  readonly plan: BusPlan;
  /** Name of the input that a channel runs; undefined for buses. */
  readonly input: string | undefined;
}

/** The place behind the mix bus. No strip has this path: those of buses begin with `buses.`. */
export const OUTPUT = 'output';

/** Channels, then buses, then the mix bus. */
export function stripsOf(plan: MixPlan): readonly PlannedStrip[] {
  const mixBus: BusPlan = {
    gainDb: plan.mixBus.gainDb,
    pan: stripParameters.pan.default,
    widthPercent: stripParameters.widthPercent.default,
    chain: plan.mixBus.chain,
    output: OUTPUT,
    sends: [],
  };
  return [
    ...Object.entries(plan.channels).map(([name, strip]) => ({
      path: `channels.${name}`,
      plan: strip,
      input: strip.input,
    })),
    ...Object.entries(plan.buses).map(([name, strip]) => ({ path: `buses.${name}`, plan: strip, input: undefined })),
    { path: MIX_BUS, plan: mixBus, input: undefined },
  ];
}

/** The path of the strip with this name. */
export function stripPath(plan: MixPlan, name: string): string {
  if (name === MIX_BUS) return MIX_BUS;
  return Object.hasOwn(plan.buses, name) ? `buses.${name}` : `channels.${name}`;
}

/** Where a strip's signal goes: its output, then its sends. */
export function destinations(plan: MixPlan, strip: PlannedStrip): readonly string[] {
  if (strip.path === MIX_BUS) return [OUTPUT];
  return [strip.plan.output, ...strip.plan.sends.map(({ to }) => to)].map((name) => stripPath(plan, name));
}

/** The paths of the strips that hear the one at `path`: by what it sends, or as a key. */
export function hearersOf(plan: MixPlan, path: string): readonly string[] {
  const strips = stripsOf(plan);
  const fed = strips.filter((strip) => strip.path === path).flatMap((strip) => destinations(plan, strip));
  const listening = strips.filter(({ plan: { chain } }) =>
    chain.some(({ key }) => key !== undefined && stripPath(plan, key) === path),
  );
  return [...new Set([...fed, ...listening.map((strip) => strip.path)])].filter((to) => to !== OUTPUT);
}

/** The paths of all strips, each after all it hears. */
export function runningOrder(plan: MixPlan): readonly string[] {
  // The latencies move the strips in time, and have no say in which hears which.
  return [...route(stripsOf(plan).map((strip) => routed(plan, strip, []))).keys()];
}

/** What the routing must know of a strip whose blocks have these latencies, in samples. */
export function routed(plan: MixPlan, strip: PlannedStrip, latencies: readonly number[]): RoutedStrip {
  const { path } = strip;
  const places = [`${path}.output`, ...strip.plan.sends.map((_, s) => `${path}.sends[${s}].to`)];
  return {
    path,
    latencies,
    feeds: destinations(plan, strip).map((to, d) => ({ to, where: places[d] })),
    keys: strip.plan.chain.flatMap(({ key }, block) =>
      key === undefined ? [] : [{ block, from: stripPath(plan, key), where: `${path}.chain[${block}].key` }],
    ),
  };
}

/** @throws RangeError, with the place where it closes, if a signal comes back to the strip that it came from */
export function requireNoLoop(plan: MixPlan): void {
  runningOrder(plan);
}
