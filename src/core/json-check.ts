/**
 * Checks of parsed JSON, each with the path of what is wrong in its message:
 *
 *     channels.snare.sends[0].to must be one of crush, room or mixBus, got "crsh"; the nearest name is crush
 *
 * @module
 */
import { describe, nearestName } from './check.ts';

type Json = Readonly<Record<string, unknown>>;

/** A JSON Schema, draft 2020-12. */
export type JsonSchema = Readonly<Record<string, unknown>>;

/** Returns `value`, or throws a TypeError unless it is an object that is not a list. */
export function requireObject(path: string, value: unknown): Json {
  if (typeof value !== 'object' || value === null || Array.isArray(value)) throw wrong(path, 'an object', value);
  return value as Json;
}

/** Returns `value`, or throws a TypeError unless it is a list. */
export function requireList(path: string, value: unknown): readonly unknown[] {
  if (!Array.isArray(value)) throw wrong(path, 'a list', value);
  return value as readonly unknown[];
}

/** Returns `value`, or throws a TypeError unless it is a string with something in it. */
export function requireText(path: string, value: unknown): string {
  if (typeof value !== 'string' || value === '') throw wrong(path, 'a text', value);
  return value;
}

/** Returns `value`, or throws a TypeError unless it is one of the names. */
export function requireName(path: string, value: unknown, known: readonly string[]): string {
  const name = requireText(path, value);
  if (known.includes(name)) return name;
  if (known.length === 0) throw new TypeError(`${path} must name something that exists, got ${JSON.stringify(name)}`);
  const list = known.length === 1 ? known[0] : `one of ${known.slice(0, -1).join(', ')} or ${String(known.at(-1))}`;
  throw new TypeError(
    `${path} must be ${list}, got ${JSON.stringify(name)}; the nearest name is ${nearestName(name, known)}`,
  );
}

/** Throws a TypeError if the object has a member that is not among the names. */
export function requireMembers(path: string, object: Json, known: readonly string[]): void {
  for (const name in object) {
    if (!known.includes(name)) {
      throw new TypeError(`${member(path, name)} is unknown; the nearest name is ${nearestName(name, known)}`);
    }
  }
}

/** Path of a member: `channels.snare`. */
export function member(path: string, name: string): string {
  return path === '' ? name : `${path}.${name}`;
}

/** The members of an object that are named, and the others. */
export function split(object: Json, names: readonly string[]): [named: Json, others: Json] {
  const entries = Object.entries(object);
  const among = ([name]: [string, unknown]) => names.includes(name);
  return [Object.fromEntries(entries.filter(among)), Object.fromEntries(entries.filter((entry) => !among(entry)))];
}

function wrong(path: string, expected: string, value: unknown): TypeError {
  const got = value === undefined ? 'nothing' : describe(value);
  return new TypeError(`${path} must be ${expected}, got ${got.length > 60 ? `${got.slice(0, 57)}...` : got}`);
}
