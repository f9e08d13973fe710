/**
 * Keys from hits: which blocks of a plan listen to the hits of a drum.
 * @module
 */
import { requireName } from '../core/json-check.ts';
import type { MixPlan } from './plan.ts';
import { stripsOf } from './plan-strips.ts';

/** @throws TypeError, with the path, if a block listens to a drum that the plan has no hits of */
export function requireHitKeys(plan: MixPlan): void {
  const drums = Object.keys(plan.hits?.drums ?? {});
  for (const { path, plan: strip } of stripsOf(plan)) {
    strip.chain.forEach(({ hitKey }, b) => {
      if (hitKey) requireName(`${path}.chain[${b}].key.hits`, hitKey.drum, drums);
    });
  }
}
