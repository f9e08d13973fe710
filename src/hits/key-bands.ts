/**
 * Key bands: where to listen for a drum. Wide, because an attack is a click: what else sounds there is told apart by the
 * other microphones.
 *
 * The limits are common practice: fundamentals of the usual tunings at the lower end, the sound of the stick at the
 * upper one; cymbals above the wires of the snare's loudest part.
 *
 * @module
 */

/** Kinds of drums that have a default key band. */
export const drumKinds = ['kick', 'snare', 'rackTom', 'floorTom', 'hat', 'ride'] as const;

/** Kind of drum, which decides the key band. */
export type DrumKind = (typeof drumKinds)[number];

/** Where to listen, and how soft a stroke may be. */
export interface KeyBand {
  /** Lower edge in hertz. */
  readonly lowHz: number;
  /** Upper edge in hertz. */
  readonly highHz: number;
  /** Softest hit relative to the drum's usual level. Snares and cymbals have ghost notes; kicks and toms ring and bounce. */
  readonly softestDb: number;
}

/** Default key band of a kind of drum. */
export function keyBandOf(kind: DrumKind): KeyBand {
  switch (kind) {
    case 'kick':
      return { lowHz: 40, highHz: 5000, softestDb: -18 };
    case 'snare':
      return { lowHz: 150, highHz: 6000, softestDb: -28 };
    case 'rackTom':
      return { lowHz: 80, highHz: 5000, softestDb: -18 };
    case 'floorTom':
      return { lowHz: 60, highHz: 5000, softestDb: -18 };
    case 'hat':
    case 'ride':
      return { lowHz: 3000, highHz: 15000, softestDb: -24 };
  }
}
