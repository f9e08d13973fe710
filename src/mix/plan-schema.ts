/**
 * JSON Schema of the plan (draft 2020-12), made from the same parameter tables that validate it, for editors that complete
 * and check a plan while it is written.
 *
 * What a schema cannot say, `parsePlan` still refuses: names that do not exist, loops, ranges that depend on the sample
 * rate.
 *
 * @module
 */
import type { JsonSchema } from '../core/json-check.ts';
import { blockTypes } from '../blocks/block-types.ts';
import { equaliserBandParameters } from '../filters/equaliser-bands.ts';
import { alignmentMoveParameters, alignmentParameters } from './alignment-plan.ts';
import { contextParameters, referenceParameters } from './comparison-plan.ts';
import { hitsSchema, keySchema } from './hits-plan-schema.ts';
import {
  mixBusParameters,
  outputParameters,
  PLAN_VERSION,
  planParameters,
  sendParameters,
  stripParameters,
} from './plan.ts';
import { dictionary, list, named, object, rows, text } from './schema-parts.ts';

/** The schema as a plain object, ready for `JSON.stringify`. */
export function mixPlanSchema(): JsonSchema {
  const chain = list({ $ref: '#/$defs/block' }, 'Blocks in the order of the signal.');
  const send = object({ to: named('Bus, or mixBus.'), ...rows(sendParameters, 'send') }, ['to']);
  const bus = {
    chain,
    sends: list(send, 'Shares that go to buses besides the output.'),
    output: named('Bus, or mixBus: where the signal goes.'),
    ...rows(stripParameters, 'strip'),
  };
  const event = object(
    {
      target: text('Path of a parameter: channels.snare.chain[0].thresholdDb'),
      sample: { type: 'integer', minimum: 0, description: 'Sample of the inputs from which the value glides.' },
      value: { anyOf: [{ type: 'number' }, { type: 'boolean' }], description: 'What the parameter becomes.' },
    },
    ['target', 'sample', 'value'],
  );
  const file = text('Path of a WAV file, relative to the plan.');
  const input = object(
    {
      file,
      channel: { type: 'integer', minimum: 0, maximum: 63, description: 'Channel of the file, from 0.' },
      role: text('What the microphone stands for.'),
    },
    ['file'],
  );
  const alignment = object(
    {
      ...rows(alignmentParameters, 'alignment'),
      drums: {
        type: 'object',
        description: 'Close microphones of each drum; the first is its reference.',
        additionalProperties: { ...list(named('Input.'), 'Inputs that hear the drum from near.'), minItems: 1 },
      },
      overheads: list(named('Input.'), 'Inputs that hear the whole kit.'),
      drum: text('Drum that the overheads move to.'),
      moves: dictionary(object(rows(alignmentMoveParameters, 'alignmentMove'), []), 'Moves set by hand, by input.'),
    },
    [],
  );
  const reference = object({ file, ...rows(referenceParameters, 'reference') }, ['file']);
  const context = object({ file, ...rows(contextParameters, 'context') }, ['file']);
  const output = { file: text('Path of the WAV file, relative to the plan.'), ...rows(outputParameters, 'output') };
  return {
    $schema: 'https://json-schema.org/draft/2020-12/schema',
    title: 'Mix plan',
    description: 'One drum mix: inputs, alignment, channels, buses, mix bus, automation, references, context, output.',
    ...object(
      {
        $schema: { type: 'string' },
        version: { const: PLAN_VERSION },
        inputs: dictionary(input, 'WAV files, or single channels of them.'),
        alignment: { ...alignment, description: 'How the inputs are brought in time; they are left alone without it.' },
        channels: {
          ...dictionary(object({ input: named('Input to run.'), ...bus }, ['input']), 'Inputs on their way to a bus.'),
          minProperties: 1,
        },
        buses: dictionary(object(bus, []), 'Sums of what they are sent.'),
        mixBus: object({ chain, ...rows(mixBusParameters, 'mixBus') }, []),
        hits: hitsSchema(),
        automation: list(event, 'Parameters that move.'),
        references: list(reference, 'Finished tracks with which the mix is compared.'),
        context: dictionary(context, 'Other instruments of the song: what they cover of the mix is told.'),
        output: object(output, ['file']),
        ...rows(planParameters, 'plan'),
      },
      ['version', 'inputs', 'channels', 'output'],
    ),
    $defs: {
      band: object(rows(equaliserBandParameters, 'equaliserBand'), []),
      block: { oneOf: Object.keys(blockTypes).map((type) => blockSchema(type)) },
      innerBlock: {
        oneOf: Object.keys(blockTypes)
          .filter((type) => !blockTypes[type].takesChains && !blockTypes[type].takesImpulse)
          .map((type) => blockSchema(type, true)),
      },
    },
  };
}

/** @param inside - whether it is a block inside a band, which has no key and no bypass of its own */
function blockSchema(type: string, inside = false): JsonSchema {
  const bands = list({ $ref: '#/$defs/band' }, 'Bands in series.');
  const { parameters, takesKey, takesBands, takesChains, takesImpulse } = blockTypes[type];
  return object(
    {
      type: { const: type },
      ...(!inside && { bypassed: { type: 'boolean', description: 'Whether the block is switched out at the start.' } }),
      ...(takesBands && { bands }),
      ...(takesChains && { bands: splitBands() }),
      ...(takesKey && { ...(!inside && { key: keySchema() }), keyFilter: bands }),
      ...(takesImpulse && { impulse: named('Input that holds the impulse response.') }),
      ...rows(parameters, type),
    },
    ['type', ...(takesBands ? ['bands'] : []), ...(takesImpulse ? ['impulse'] : [])],
  );
}

/** The bands of a split, from low to high. */
function splitBands(): JsonSchema {
  const band = object({ chain: list({ $ref: '#/$defs/innerBlock' }, 'Blocks in the order of the signal.') }, []);
  return { ...list(band, 'What each band runs, from low to high.'), minItems: 2, maxItems: 4 };
}
