/**
 * A plugin of the documentation: a parameter table is shown by its names. Default, range and unit of each row are in the
 * generated list of parameters, which stays readable where a literal type of forty lines does not.
 */
import { Converter, IntrinsicType, ReflectionKind } from 'typedoc';

const ROW = new Set(['default', 'min', 'max', 'taper', 'integer', 'fixed', 'choices']);

/** @param {import('typedoc').Application} app */
export function load(app) {
  app.converter.on(Converter.EVENT_RESOLVE_BEGIN, ({ project }) => {
    for (const row of project.getReflectionsByKind(ReflectionKind.Property)) {
      const { type } = /** @type {import('typedoc').DeclarationReflection} */ (row);
      if (type?.type !== 'reflection') continue;
      const members = type.declaration.children ?? [];
      if (members.length === 0 || !members.every(({ name }) => ROW.has(name))) continue;
      project.removeReflection(type.declaration);
      /** @type {import('typedoc').DeclarationReflection} */ (row).type = new IntrinsicType('row');
    }
  });
}
