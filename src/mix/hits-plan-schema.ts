/**
 * The part of the plan's JSON Schema that describes `hits`.
 * @module
 */
import type { JsonSchema } from '../core/json-check.ts';
import { detectHitsParameters } from '../hits/detect-hits.ts';
import { hitKeyParameters } from '../hits/hit-key.ts';
import { drumKinds } from '../hits/key-bands.ts';
import { layerParameters } from '../hits/layer-parameters.ts';
import { bleedParameters } from '../hits/learn-bleed.ts';
import { dictionary, list, named, object, rows, text } from './schema-parts.ts';

const sample = { type: 'number', minimum: 0, description: 'Sample of the recording, with its fraction.' };

/** Schema of `hits`. */
export function hitsSchema(): JsonSchema {
  const layer = object(
    {
      velocity: { type: 'number', minimum: 0, maximum: 127, description: 'How hard the samples were struck.' },
      files: { ...list(text('Path of a WAV file of one channel, relative to the plan.'), 'Samples.'), minItems: 1 },
    },
    ['velocity', 'files'],
  );
  const drum = object(
    {
      microphone: named('Input in which the drum is heard best.'),
      kind: { enum: drumKinds, description: 'What the drum is: where to listen for it.' },
      add: list(
        object({ sample, velocityDb: { type: 'number', minimum: -200, maximum: 60 } }, ['sample', 'velocityDb']),
        'Hits placed by hand.',
      ),
      remove: list(sample, 'Where a detected hit is none.'),
      layer: object(
        { samples: { ...list(layer, 'Velocity layers.'), minItems: 1 }, ...rows(layerParameters, 'layer') },
        ['samples'],
      ),
      bleed: object(rows(bleedParameters, 'bleed'), []),
    },
    ['microphone', 'kind'],
  );
  return object(
    {
      file: text('Path of a hit list in place of a detection, relative to the plan.'),
      detection: object(rows(detectHitsParameters, 'detectHits'), []),
      drums: { ...dictionary(drum, 'Drums whose hits are found.'), minProperties: 1 },
      furtherMicrophones: list(named('Input.'), 'Inputs that help to tell the bleed, besides the drums.'),
    },
    ['drums'],
  );
}

/** Schema of a block's key. */
export function keySchema(): JsonSchema {
  return {
    description: 'What the block listens to in place of its input.',
    anyOf: [
      named('Channel or bus to listen to.'),
      object({ hits: named('Drum to whose hits to listen.'), ...rows(hitKeyParameters, 'hitKey') }, ['hits']),
    ],
  };
}
