/**
 * What a file's name says of its microphone: the words that engineers write on track sheets.
 *
 *     "03 Snare Btm.wav" --> snare, bottom         "OH_L.wav" --> overhead, left         "Audio 7.wav" --> nothing
 *
 * A name counts for what six nepers of likelihood do: more than doubtful figures, less than figures that agree.
 * Source: common practice.
 *
 * @module
 */
import type { RoleClass } from './role-model.ts';

/** Which of the microphones of a drum, or which side. */
export type Place = 'inside' | 'outside' | 'top' | 'bottom' | 'rack' | 'floor' | 'left' | 'right';

/** What a name says. */
export interface NameHint {
  readonly role?: RoleClass;
  readonly place?: Place;
}

/** Cost that a name takes from the class that it names. */
export const NAME_WEIGHT = 6;

const CLASSES: readonly (readonly [RoleClass, RegExp])[] = [
  ['overhead', /\b(overheads?|oh[lrsx]?)\b/],
  ['room', /\b(rooms?|rm|amb|ambien(ce|t)|far)\b/],
  ['kick', /\b(kick|kik|bd|bass ?drum)\b/],
  ['snare', /\b(snare|snr|sn|sd)\b/],
  ['hat', /\b(hi ?hat|hats?|hh)\b/],
  ['tom', /\b(toms?|rack|floor|ft|rt)\b/],
  ['ride', /\b(ride|crash|china|splash|cym(bal)?s?)\b/],
];

const PLACES: readonly (readonly [Place, RegExp, readonly RoleClass[]])[] = [
  ['inside', /\b(in|inside|beater)\b/, ['kick']],
  ['outside', /\b(out|outside|sub|front|reso(nant)?)\b/, ['kick']],
  ['top', /\b(top|up|over|batter)\b/, ['snare']],
  ['bottom', /\b(bottom|bot|btm|bt|under|wires?)\b/, ['snare']],
  ['floor', /\b(floor|ft|low)\b/, ['tom']],
  ['rack', /\b(rack|rt|hi|high|mid)\b/, ['tom']],
  ['left', /\b(l|left|ohl|rml)\b/, ['overhead', 'room']],
  ['right', /\b(r|right|ohr|rmr)\b/, ['overhead', 'room']],
];

/** What a file's name says; folders and extension do not count. */
export function nameHint(file: string): NameHint {
  const words = wordsOf(file);
  const role = CLASSES.find(([, pattern]) => pattern.test(words))?.[0];
  if (role === undefined) return {};
  const place = PLACES.find(([, pattern, roles]) => roles.includes(role) && pattern.test(words))?.[0];
  return { role, ...(place && { place }) };
}

/** The name in small letters, its words apart: `KickIn_02.wav` is `kick in 02`. */
function wordsOf(file: string): string {
  return file
    .replace(/^.*[/\\]/, '')
    .replace(/\.[^.]*$/, '')
    .replace(/([a-z])([A-Z])/g, '$1 $2')
    .replace(/([A-Za-z])(\d)/g, '$1 $2')
    .replace(/(\d)([A-Za-z])/g, '$1 $2')
    .replace(/[^A-Za-z0-9]+/g, ' ')
    .toLowerCase()
    .trim();
}
