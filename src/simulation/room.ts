/**
 * Early reflections of a shoebox room by image sources.
 *
 *      image        wall          microphone
 *        o - - - - - -|- - - - - - - > x
 *                     |\            /
 *        d            | \  reflected
 *                     |  o source
 *
 * Mirroring the microphone instead of the source gives the same length and also the direction in which the sound
 * leaves the drum; mirroring the source gives the direction from which it arrives. Both are needed, because a drum
 * head has two sides and a microphone a direction. Along one axis of length L the image number i of coordinate u is
 *
 *     i even:  u + i L         i odd:  (i + 1) L - u
 *
 * and has met the far wall ceil(i / 2) times and the near wall floor(i / 2) times for i > 0 (the other way round for i < 0).
 *
 * Source: J. B. Allen, D. A. Berkley, "Image method for efficiently simulating small-room acoustics", JASA 65(4),
 * 1979. Bodies in the room shade nothing.
 *
 * @module
 */
import { lengthOf, type Vector, wayFrom } from './vectors.ts';

/** A rectangular room. */
export interface Room {
  /** Inner size `[x, y, z]` in metres. */
  readonly sizeMetres: Vector;
  /** Share of the sound pressure that a surface returns, 0 to 1. */
  readonly floorReflection: number;
  /** Share of the pressure that the ceiling returns, 0 to 1. */
  readonly ceilingReflection: number;
  /** Share of the pressure that a wall returns, 0 to 1. */
  readonly wallReflection: number;
  /** Walls met on the longest way considered: 0 is the direct sound alone, 1 adds six ways, 2 eighteen more. */
  readonly reflectionOrder: number;
}

/** One way from a drum to a microphone. */
export interface Way {
  readonly distanceMetres: number;
  /** Direction in which the sound leaves the drum. */
  readonly departure: Vector;
  /** Direction from the microphone to where the sound seems to come from. */
  readonly origin: Vector;
  /** Share of the pressure left by the walls met on the way: 1 for the direct sound. */
  readonly reflection: number;
}

/** All ways with at most `room.reflectionOrder` reflections, the direct one first. */
export function waysBetween(source: Vector, microphone: Vector, room: Room): Way[] {
  const order = room.reflectionOrder;
  const ways = [directWay(source, microphone)];
  for (let x = -order; x <= order; x++) {
    for (let y = -order; y <= order; y++) {
      for (let z = -order; z <= order; z++) {
        const walls = Math.abs(x) + Math.abs(y) + Math.abs(z);
        if (walls > 0 && walls <= order) ways.push(reflectedWay(source, microphone, room, [x, y, z]));
      }
    }
  }
  return ways;
}

function directWay(source: Vector, microphone: Vector): Way {
  const departure = wayFrom(source, microphone);
  return { distanceMetres: lengthOf(departure), departure, origin: wayFrom(microphone, source), reflection: 1 };
}

function reflectedWay(source: Vector, microphone: Vector, room: Room, cell: Vector): Way {
  const departure = wayFrom(source, imageOf(microphone, cell, room.sizeMetres));
  const reflection =
    powerOf(room.wallReflection, Math.abs(cell[0]) + Math.abs(cell[1])) *
    powerOf(room.floorReflection, nearWallsMet(cell[2])) *
    powerOf(room.ceilingReflection, Math.abs(cell[2]) - nearWallsMet(cell[2]));
  return {
    distanceMetres: lengthOf(departure),
    departure,
    origin: wayFrom(microphone, imageOf(source, reverseCell(cell), room.sizeMetres)),
    reflection,
  };
}

function imageOf(point: Vector, cell: Vector, size: Vector): Vector {
  return [mirror(point[0], cell[0], size[0]), mirror(point[1], cell[1], size[1]), mirror(point[2], cell[2], size[2])];
}

function mirror(coordinate: number, cell: number, length: number): number {
  return cell % 2 === 0 ? coordinate + cell * length : (cell + 1) * length - coordinate;
}

/** The cell from which the mirrored source sends the same way: even images shift, and shift back the other way. */
function reverseCell(cell: Vector): Vector {
  return [reverse(cell[0]), reverse(cell[1]), reverse(cell[2])];
}

function reverse(cell: number): number {
  return cell % 2 === 0 ? -cell : cell;
}

/** How often the wall at coordinate 0 is met on the way into cell i. */
function nearWallsMet(cell: number): number {
  return cell > 0 ? Math.floor(cell / 2) : Math.ceil(-cell / 2);
}

function powerOf(base: number, exponent: number): number {
  let product = 1;
  for (let i = 0; i < exponent; i++) product *= base;
  return product;
}
