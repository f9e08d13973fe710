/**
 * Early reflections of a rectangular room by image sources.
 *
 *        image  o - - - - - - - |- - - - - .        along one axis of length L, the image number i of coordinate u is
 *                               | \          .        i even:  u + i L        i odd:  (i + 1) L - u
 *                               |  o source   x microphone
 *
 * A way with n reflections brings the pressure (direct distance / distance) (1 - a)^(n/2), a the share of the energy that a
 * wall takes, and comes (distance - direct distance) / c after the direct sound, which the dry signal is.
 *
 * Source: J. B. Allen, D. A. Berkley, "Image method for efficiently simulating small-room acoustics", JASA 65(4), 1979.
 *
 * @module
 */
import { refuse, requireInteger, requireRange } from '../core/check.ts';

/** Metres per second at 20 degrees C. */
export const SPEED_OF_SOUND = 343.2;

/** 171 800 ways. */
const HIGHEST_ORDER = 50;

/** Inner size of a rectangular room, each of its sides 0.1 to 1000 m. */
export interface RoomSize {
  /** Length in metres. */
  readonly lengthMetres: number;
  /** Width in metres. */
  readonly widthMetres: number;
  /** Height in metres. */
  readonly heightMetres: number;
}

/** A place in a room as shares of its length, width and height, 0 to 1. */
export type Place = readonly [number, number, number];

/** A way from source to microphone by way of the walls. */
export interface Reflection {
  /** After the direct sound. */
  readonly seconds: number;
  /** Pressure, relative to the direct sound's, that walls without absorption would leave. */
  readonly spread: number;
  /** How many walls it has met. */
  readonly walls: number;
}

/**
 * All ways with 1 to `order` reflections.
 *
 * @param order - 0 to 50
 * @throws RangeError for a room, a place or an order out of range, and for a microphone where the source is; TypeError for what
 *   is no number
 */
export function shoeboxReflections(room: RoomSize, source: Place, microphone: Place, order: number): Reflection[] {
  const size = (['lengthMetres', 'widthMetres', 'heightMetres'] as const).map((side) =>
    requireRange(`shoeboxReflections: room.${side}`, room[side], 0.1, 1000),
  );
  for (const axis of size.keys()) {
    requireRange(`shoeboxReflections: source[${axis}]`, source[axis], 0, 1);
    requireRange(`shoeboxReflections: microphone[${axis}]`, microphone[axis], 0, 1);
  }
  requireInteger('shoeboxReflections: order', order, 0, HIGHEST_ORDER);
  const distance = (cell: readonly number[]): number => {
    const away = size.map((metres, axis) => metres * (image(source[axis], cell[axis]) - microphone[axis]));
    return Math.sqrt(away[0] * away[0] + away[1] * away[1] + away[2] * away[2]);
  };
  const direct = distance([0, 0, 0]);
  if (direct === 0) refuse('shoeboxReflections: microphone', 'elsewhere than the source', microphone);
  const ways: Reflection[] = [];
  for (let x = -order; x <= order; x++) {
    for (let y = -order; y <= order; y++) {
      for (let z = -order; z <= order; z++) {
        const walls = Math.abs(x) + Math.abs(y) + Math.abs(z);
        if (walls === 0 || walls > order) continue;
        const metres = distance([x, y, z]);
        ways.push({ seconds: (metres - direct) / SPEED_OF_SOUND, spread: direct / metres, walls });
      }
    }
  }
  return ways;
}

function image(share: number, cell: number): number {
  return cell % 2 === 0 ? share + cell : cell + 1 - share;
}
