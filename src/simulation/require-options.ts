/**
 * Checks of the options that are not plain numbers.
 *
 * @module
 */
import { requireInteger, requireRange } from '../core/check.ts';
import type { KitLayout } from './layout.ts';
import { type DrumName, drumNames, microphoneNames, type StrokeName, strokeNames } from './names.ts';
import type { Stroke } from './player.ts';
import { requireKnown } from './require-known.ts';
import { lengthOf, type Vector, wayFrom } from './vectors.ts';

/** A stroke as a caller asks for it. */
export interface WantedStroke {
  /** The drum it belongs to. */
  readonly drum: DrumName;
  /** `'normal'` unless given. */
  readonly stroke?: StrokeName;
  /** Time of the blow from the start of the recording, 0 to 86400. */
  readonly seconds: number;
  /** Force of the blow, 0.001 to 1. */
  readonly velocity: number;
}

/** No microphone is nearer to a drum: 1 / r has no bound. */
const NEAREST_METRES = 0.02;

/** Longest recording: a day. */
const LATEST_SECONDS = 86400;

export function requireBleed(bleedDb: number | undefined): void {
  if (bleedDb !== undefined) requireRange('simulateKit: bleedDb', bleedDb, -80, 20);
}

/** The strokes, checked, completed and sorted by time. */
export function requireStrokes(wanted: readonly WantedStroke[]): Stroke[] {
  if (!Array.isArray(wanted)) throw new TypeError('simulateKit: strokes must be an array');
  const strokes = wanted.map((stroke: WantedStroke, i) => {
    const name = `simulateKit: strokes[${i}]`;
    const { drum, seconds, velocity } = stroke;
    requireKnown(`${name}.drum ${drum}`, drum, drumNames);
    requireKnown(`${name}.stroke ${stroke.stroke}`, stroke.stroke ?? 'normal', strokeNames);
    requireRange(`${name}.seconds`, seconds, 0, LATEST_SECONDS);
    requireRange(`${name}.velocity`, velocity, 0.001, 1);
    return { drum, stroke: stroke.stroke ?? 'normal', seconds, velocity };
  });
  return strokes.sort((a, b) => a.seconds - b.seconds);
}

/** Everything stands in the room, and nothing too close. */
export function requireLayout(layout: KitLayout): void {
  const { room, drums, microphones } = layout;
  const name = 'simulateKit: layout.room.';
  room.sizeMetres.forEach((metres, axis) => requireRange(`${name}sizeMetres[${axis}]`, metres, 1, 100));
  requireRange(`${name}floorReflection`, room.floorReflection, 0, 1);
  requireRange(`${name}ceilingReflection`, room.ceilingReflection, 0, 1);
  requireRange(`${name}wallReflection`, room.wallReflection, 0, 1);
  requireInteger(`${name}reflectionOrder`, room.reflectionOrder, 0, 6);
  for (const drum of drumNames) requireInside(`drums.${drum}`, drums[drum].positionMetres, room.sizeMetres);
  for (const microphone of microphoneNames) {
    const position = microphones[microphone].positionMetres;
    requireInside(`microphones.${microphone}`, position, room.sizeMetres);
    for (const drum of drumNames) {
      const metres = lengthOf(wayFrom(position, drums[drum].positionMetres));
      requireRange(`simulateKit: distance of ${microphone} and ${drum} in metres`, metres, NEAREST_METRES, 1000);
    }
  }
}

function requireInside(name: string, position: Vector, size: Vector): void {
  position.forEach((metres, axis) => {
    requireRange(`simulateKit: layout.${name}.positionMetres[${axis}]`, metres, 0, size[axis]);
  });
}
