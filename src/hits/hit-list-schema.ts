/**
 * JSON Schema of the hit list (draft 2020-12), from the same names and ranges that `parseHitList` checks.
 *
 * @module
 */
import type { JsonSchema } from '../core/json-check.ts';
import { HIT_LIST_VERSION, hitMembers, hitRanges, hitSources } from './hit-list.ts';

/** The schema as a plain object, ready for `JSON.stringify`. */
export function hitListSchema(): JsonSchema {
  const number = (name: keyof typeof hitRanges, description: string): JsonSchema => {
    const { min, max } = hitRanges[name];
    return { type: 'number', minimum: min, maximum: max, description };
  };
  const text = (description: string): JsonSchema => ({ type: 'string', minLength: 1, description });
  const place = {
    drum: text('Name of the drum.'),
    sample: number('sample', 'Where its sound begins in its microphone, in samples of the recording.'),
  };
  const hit = {
    ...place,
    velocityDb: number('velocityDb', 'Peak of the key band after the onset, in dBFS.'),
    velocity: number('velocity', 'The same on the scale of MIDI.'),
    confidence: number('confidence', '0 is a guess, 1 is certain.'),
    source: { enum: [...hitSources], description: 'Found in the sound, placed by hand, or read from a file.' },
  };
  return {
    $schema: 'https://json-schema.org/draft/2020-12/schema',
    title: 'Hit list',
    description: 'The hits of one recording.',
    ...object(
      {
        version: { const: HIT_LIST_VERSION },
        sampleRateHz: number('sampleRateHz', 'Sample rate to which the positions belong.'),
        hits: list(object(hit, hitMembers), 'Hits.'),
        rejected: list(
          object({ ...hit, reason: text('Why it does not count.') }, [...hitMembers, 'reason']),
          'What was found and taken for bleed.',
        ),
        deletions: list(object(place, ['drum', 'sample']), 'Where a hit was removed by hand.'),
      },
      ['version', 'sampleRateHz', 'hits', 'rejected', 'deletions'],
    ),
  };
}

function object(properties: JsonSchema, required: readonly string[]): JsonSchema {
  return { type: 'object', properties, required: [...required], additionalProperties: false };
}

function list(items: JsonSchema, description: string): JsonSchema {
  return { type: 'array', items, description };
}
