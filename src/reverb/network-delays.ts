/**
 * Delays of a feedback network for a room: prime numbers of samples about the time of a round trip.
 *
 *     line i of N        round trip * 2.4^((i + 1/2) / N - 1/2),    round trip = 2 (length width height)^(1/3) / c
 *
 * Their sum is the density of resonances, in 1 / Hz: 16 lines of 25 ms have 0.4 per hertz. In a room of the same size they
 * become denser with frequency; what hides the difference is that here all of them decay as asked.
 *
 * Source: J.-M. Jot, A. Chaigne, AES 90th Convention, 1991, preprint 3030, for the sum of the delays; the spacing is ours.
 *
 * @module
 */
import { pow } from '../core/maths.ts';
import { nextPrime } from './primes.ts';
import { type RoomSize, SPEED_OF_SOUND } from './shoebox.ts';

const LONGEST_TO_SHORTEST = 2.4;

/** Distinct primes, in samples, in an order in which neighbours are far apart. */
export function networkDelays(lines: number, room: RoomSize, sampleRateHz: number): number[] {
  const roundTrip = (2 * pow(room.lengthMetres * room.widthMetres * room.heightMetres, 1 / 3)) / SPEED_OF_SOUND;
  const taken = new Set<number>();
  const sorted = Array.from({ length: lines }, (_, i) => {
    const seconds = roundTrip * pow(LONGEST_TO_SHORTEST, (i + 0.5) / lines - 0.5);
    let delay = nextPrime(Math.round(seconds * sampleRateHz));
    while (taken.has(delay)) delay = nextPrime(delay + 1);
    taken.add(delay);
    return delay;
  });
  // Steps of 5 go through 8 and 16 lines without meeting one twice.
  return sorted.map((_, i) => sorted[(5 * i) % lines]);
}
