/**
 * Checks of names.
 *
 * @module
 */
import { nearestName } from '../core/check.ts';

/** @throws TypeError unless `value` is one of `known`; the message names the nearest. */
export function requireKnown(name: string, value: unknown, known: readonly string[]): void {
  if (typeof value === 'string' && known.includes(value)) return;
  throw new TypeError(`${name} is unknown; the nearest name is ${nearestName(String(value), known)}`);
}
