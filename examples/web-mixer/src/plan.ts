/**
 * The plan of the page: the demo plan, with every block ready to be switched out, and the same faders without processing.
 * @module
 */
import json from '../plan.json';

/** A block as a plan writes it. */
export type BlockJson = Record<string, unknown> & { readonly type: string; bypassed?: boolean; key?: string };

/** A strip as a plan writes it. */
export interface StripJson {
  readonly input?: string;
  output?: string;
  gainDb?: number;
  pan?: number;
  chain?: BlockJson[];
  sends?: { readonly to: string; gainDb?: number }[];
}

/** A plan as JSON, as far as the page reads it. */
export interface PlanJson {
  readonly inputs: Readonly<Record<string, { readonly role?: string }>>;
  readonly channels: Readonly<Record<string, StripJson>>;
  readonly buses: Readonly<Record<string, StripJson>>;
  readonly mixBus: StripJson;
}

/** A strip with its path in the plan. */
export interface NamedStrip {
  readonly path: string;
  readonly name: string;
  readonly strip: StripJson;
}

/** The demo plan; each call returns a copy. */
export function demoPlan(): PlanJson {
  return structuredClone(json as unknown as PlanJson);
}

/** The plan with `bypassed: false` at every block: only a block that says so can be switched. It sounds the same. */
export function switchable(plan: PlanJson): PlanJson {
  const copy = structuredClone(plan);
  for (const { strip } of stripsOf(copy)) for (const block of strip.chain ?? []) block.bypassed ??= false;
  return copy;
}

/** Faders, pans and buses alone: no block, no send, no alignment. */
export function unprocessed(plan: PlanJson): PlanJson {
  const copy = structuredClone(plan) as PlanJson & { alignment?: unknown };
  delete copy.alignment;
  for (const { strip } of stripsOf(copy)) {
    delete strip.chain;
    delete strip.sends;
  }
  return copy;
}

/** Channels, buses, mix bus. */
export function stripsOf({ channels, buses, mixBus }: PlanJson): readonly NamedStrip[] {
  return [
    ...Object.entries(channels).map(([name, strip]) => ({ path: `channels.${name}`, name, strip })),
    ...Object.entries(buses).map(([name, strip]) => ({ path: `buses.${name}`, name, strip })),
    { path: 'mixBus', name: 'mix bus', strip: mixBus },
  ];
}

/** Writes a value where its path points, `channels.snare.chain[0].thresholdDb`. */
export function setIn(plan: PlanJson, target: string, value: number | boolean): void {
  const keys = target.split(/[.[\]]+/).filter((key) => key !== '');
  const last = keys.pop() as string;
  const owner = keys.reduce((part: unknown, key) => (part as Record<string, unknown>)[key], plan);
  (owner as Record<string, unknown>)[last] = value;
}
