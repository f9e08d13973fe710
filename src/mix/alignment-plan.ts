/**
 * Alignment as a plan asks for it: which microphones hear which drum, what shall move, and moves set by hand.
 *
 *     "alignment": {
 *       "method": "closeToOverheads",
 *       "drums": { "snare": ["top", "bottom"], "kick": ["in", "out"] },      the first of each is the drum's reference
 *       "overheads": ["overheadLeft", "overheadRight"],
 *       "moves": { "out": { "delaySamples": -21.4, "polarity": 1 } }         set by hand: wins over what is found
 *     }
 *
 * Names are those of inputs. Inputs that are not named, as the rooms, stay where they are: they are late on purpose. A
 * plan without the section moves nothing.
 *
 * @module
 */
import type { AlignmentMove } from '../alignment/kit-alignment.ts';
import { refuse } from '../core/check.ts';
import { requireList, requireMembers, requireName, requireObject, split } from '../core/json-check.ts';
import { type ParameterTable, type ParameterValues, resolveParameters } from '../core/parameters.ts';

/** Parameters of the alignment. */
export const alignmentParameters = {
  /**
   * What moves: the close microphones to the overheads, the overheads to the reference microphone of a drum, or nothing
   * but what is set by hand. Microphones of one drum always move to each other.
   */
  method: { default: 'closeToOverheads', choices: ['closeToOverheads', 'overheadsToDrum', 'off'] },
  /** Farthest that a microphone moves; what would have to move farther stays. */
  maxMoveMs: { default: 20, min: 0, max: 100 },
  /** How much farther the sound may have to one microphone than to the other: delays beyond are not looked for. */
  maxDistanceMetres: { default: 3, min: 0.05, max: 30 },
  /** Of the air between, in degrees Celsius. */
  temperatureC: { default: 20, min: -30, max: 60 },
} as const satisfies ParameterTable;

/** Parameters of a move set by hand. */
export const alignmentMoveParameters = {
  /** How much later the microphone sounds, at the sample rate of the inputs; negative: earlier. */
  delaySamples: { default: 0, min: -100_000, max: 100_000 },
  /** -1 inverts the microphone. */
  polarity: { default: 1, choices: [1, -1] },
} as const satisfies ParameterTable;

/** The alignment of a validated plan. */
export interface AlignmentPlan extends ParameterValues<typeof alignmentParameters> {
  /** Close microphones by the name of their drum. */
  readonly drums: Readonly<Record<string, readonly string[]>>;
  /** Channels that are the overheads. */
  readonly overheads: readonly string[];
  /** The drum that the overheads move to; undefined unless the method is `overheadsToDrum`. */
  readonly drum: string | undefined;
  /** Set by hand, by the names of inputs. */
  readonly moves: Readonly<Record<string, AlignmentMove>>;
}

/** The alignment of a plan that has none. */
export const NO_ALIGNMENT: AlignmentPlan = {
  method: 'off',
  maxMoveMs: alignmentParameters.maxMoveMs.default,
  maxDistanceMetres: alignmentParameters.maxDistanceMetres.default,
  temperatureC: alignmentParameters.temperatureC.default,
  drums: {},
  overheads: [],
  drum: undefined,
  moves: {},
};

/**
 * Reads and validates the section.
 *
 * @param inputs - names that there are
 * @throws TypeError or RangeError with the path of the first fault
 */
export function parseAlignment(value: unknown, inputs: readonly string[], sampleRateHz: number): AlignmentPlan {
  const section = requireObject('alignment', value);
  const [own, rest] = split(section, Object.keys(alignmentParameters));
  requireMembers('alignment', rest, ['drums', 'overheads', 'drum', 'moves', ...Object.keys(alignmentParameters)]);
  const parameters = resolveParameters('alignment.', alignmentParameters, own, sampleRateHz);
  const seen = new Map<string, string>();
  const microphones = (path: string, list: unknown): string[] =>
    requireList(path, list).map((name, i) => {
      const place = `${path}[${i}]`;
      const input = requireName(place, name, inputs);
      const other = seen.get(input);
      if (other !== undefined) refuse(place, `an input that is not ${other} too`, input);
      seen.set(input, place);
      return input;
    });
  const drums = Object.fromEntries(
    Object.entries(requireObject('alignment.drums', section.drums ?? {})).map(([drum, list]) => {
      const names = microphones(`alignment.drums.${drum}`, list);
      if (names.length === 0) throw new RangeError(`alignment.drums.${drum} must name at least one input`);
      return [drum, names];
    }),
  );
  return {
    ...parameters,
    drums,
    overheads: microphones('alignment.overheads', section.overheads ?? []),
    drum: parseDrum(parameters.method, section.drum, Object.keys(drums)),
    moves: Object.fromEntries(
      Object.entries(requireObject('alignment.moves', section.moves ?? {})).map(([name, move]) => {
        requireName('alignment.moves', name, inputs);
        const path = `alignment.moves.${name}`;
        return [name, resolveParameters(`${path}.`, alignmentMoveParameters, requireObject(path, move), sampleRateHz)];
      }),
    ),
  };
}

/** Microphones that the section names, each with what it is there for. */
export function alignedInputs({
  drums,
  overheads,
}: AlignmentPlan): readonly { name: string; drum: string | undefined }[] {
  return [
    ...Object.entries(drums).flatMap(([drum, names]) => names.map((name) => ({ name, drum }))),
    ...overheads.map((name) => ({ name, drum: undefined })),
  ];
}

/** Whether the inputs must be listened to, because not every move is set by hand. */
export function leavesMovesOpen(alignment: AlignmentPlan): boolean {
  const { method, moves } = alignment;
  return method !== 'off' && alignedInputs(alignment).some(({ name }) => !Object.hasOwn(moves, name));
}

function parseDrum(method: AlignmentPlan['method'], drum: unknown, drums: readonly string[]): string | undefined {
  if (method === 'overheadsToDrum') return requireName('alignment.drum', drum, drums);
  if (drum !== undefined) throw new TypeError('alignment.drum is for the method overheadsToDrum alone');
  return undefined;
}
