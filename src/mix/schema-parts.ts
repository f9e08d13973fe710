/**
 * Parts of which the plan's JSON Schema is made.
 * @module
 */
import { parameterDescriptions } from '../blocks/parameter-descriptions.ts';
import type { JsonSchema } from '../core/json-check.ts';
import type { ParameterRow, ParameterTable } from '../core/parameters.ts';
import { MIX_BUS, NAME } from './plan.ts';

/** A property for every row of a table. */
export function rows(table: ParameterTable, owner: string): Record<string, JsonSchema> {
  return Object.fromEntries(
    Object.entries(table).map(([name, row]) => {
      const description = parameterDescriptions[owner]?.[name];
      return [name, { ...rowSchema(row), ...(description !== undefined && { description }) }];
    }),
  );
}

function rowSchema(row: ParameterRow): JsonSchema {
  if ('choices' in row) return { enum: row.choices, default: row.default };
  if (!('min' in row)) return { type: 'boolean', default: row.default };
  return {
    type: row.integer ? 'integer' : 'number',
    minimum: row.min,
    ...(row.max !== 'nyquist' && { maximum: row.max }),
    default: row.default,
  };
}

export function object(properties: Readonly<Record<string, unknown>>, required: readonly string[]): JsonSchema {
  return { type: 'object', properties, required, additionalProperties: false };
}

export function dictionary(entries: JsonSchema, description: string): JsonSchema {
  const propertyNames = { pattern: NAME.source, not: { const: MIX_BUS } };
  return { type: 'object', description, propertyNames, additionalProperties: entries };
}

export function list(items: JsonSchema, description: string): JsonSchema {
  return { type: 'array', items, description };
}

export function text(description: string): JsonSchema {
  return { type: 'string', minLength: 1, description };
}

export function named(description: string): JsonSchema {
  return { type: 'string', pattern: NAME.source, description };
}
