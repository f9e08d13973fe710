/** A simulated kit as the files of a recording that nobody has labelled. */
import { Random } from '../../src/core/random.ts';
import { arrayInput } from '../../src/mix/array-input.ts';
import { type MicrophoneName, microphoneNames } from '../../src/simulation/names.ts';
import type { SimulatedKit } from '../../src/simulation/simulate-kit.ts';
import type { MicrophoneRole } from '../../src/suggestion/guess-roles.ts';
import type { RecordedFile } from '../../src/suggestion/suggest-plan.ts';

/** What the simulator's microphones are there for. */
export const roleOfMicrophone: Readonly<Record<MicrophoneName, MicrophoneRole>> = {
  kickIn: 'kickIn',
  kickOut: 'kickOut',
  snareTop: 'snareTop',
  snareBottom: 'snareBottom',
  hat: 'hat',
  tom1: 'rackTom',
  tom2: 'floorTom',
  ride: 'ride',
  overheadLeft: 'overheadLeft',
  overheadRight: 'overheadRight',
  roomLeft: 'roomLeft',
  roomRight: 'roomRight',
};

/** Microphones of a kit in a drawn order, under names that mean nothing. */
export interface UnlabelledKit {
  readonly files: readonly RecordedFile[];
  readonly microphones: readonly MicrophoneName[];
  /** The microphone behind a file. */
  readonly microphoneOf: (file: string) => MicrophoneName;
}

/** @param without - microphones that are left out */
export function unlabelled(kit: SimulatedKit, seed: number, without: readonly MicrophoneName[] = []): UnlabelledKit {
  const random = new Random(seed);
  const drawn = microphoneNames.filter((name) => !without.includes(name)).map((name) => ({ name, key: random.next() }));
  const microphones = drawn.sort((a, b) => a.key - b.key).map(({ name }) => name);
  const fileOf = (index: number) => `audio ${String(index + 1).padStart(2, '0')}.wav`;
  return {
    microphones,
    files: microphones.map((name, i) => ({
      file: fileOf(i),
      input: arrayInput([kit.microphones[name]], kit.sampleRateHz),
    })),
    microphoneOf: (file) => {
      const name = microphones.find((_, i) => fileOf(i) === file);
      if (name === undefined) throw new RangeError(`no microphone has the file ${file}`);
      return name;
    },
  };
}
