/**
 * Saving a processor as plain JSON, and going on from there: its parameters and every number of its state, exact to the
 * last bit.
 *
 * @module
 */
import type { Part, Processor } from './processor.ts';

/** What was set on a processor, and on the processors inside it. */
export interface SavedSettings {
  /** Current parameters. */
  readonly values: object;
  /** Options on their way to a processor of a chain. */
  readonly pending?: Processor['pending'];
  /** The same of every processor inside. */
  readonly inner: readonly SavedSettings[];
}

/** A processor's parameters and state as plain JSON. */
export interface SavedState {
  /** Parameters of the processor and of those inside it. */
  readonly settings: SavedSettings;
  /** Contents of the state arrays; the string `-0` stands for the negative zero, which JSON cannot write. */
  readonly arrays: readonly (readonly (number | '-0')[])[];
}

/** The parameters and the state of a processor. */
export function saveState(processor: Processor): SavedState {
  const arrays = processor.state.map((array) => Array.from(array, (x) => (Object.is(x, -0) ? '-0' : x)));
  return { settings: settingsOf(processor), arrays };
}

/**
 * Makes `processor` go on from a saved state, with the same bits as the one that was saved.
 *
 * @param processor - made with the same format and the same fixed options
 * @throws TypeError or RangeError if the state does not fit; then nothing has changed
 */
export function restoreState(processor: Processor, saved: SavedState): void {
  const { state } = processor;
  const { arrays } = saved;
  if (arrays.length !== state.length || arrays.some((values, a) => values.length !== state[a].length)) {
    throw new RangeError('restoreState: the state must come from a processor of the same format and fixed options');
  }
  if (!arrays.every((values) => values.every((x) => x === '-0' || Number.isFinite(x)))) {
    throw new RangeError('restoreState: the state must hold finite numbers only');
  }
  visit(processor, saved.settings, (inner, changes) => {
    inner.check(changes);
  });
  visit(processor, saved.settings, (inner, changes) => {
    inner.set(changes);
  });
  arrays.forEach((values, a) => {
    values.forEach((x, i) => (state[a][i] = Number(x)));
  });
  visit(processor, saved.settings, (inner, _changes, { pending }) => {
    if (pending) inner.pending = pending; // counts from the clock that has just been written
  });
  tellParts(processor);
}

function tellParts(processor: Processor): void {
  for (const part of processor.parts) {
    part.restored?.();
    if ('format' in part) tellParts(part as Processor);
  }
}

function settingsOf(processor: Processor): SavedSettings {
  const { values, pending } = processor;
  return { values: { ...values }, ...(pending && { pending }), inner: processorsIn(processor).map(settingsOf) };
}

/** Calls `use` with a processor, the values that differ from its own, and what was saved of it; then for those inside. */
function visit(
  processor: Processor,
  saved: SavedSettings,
  use: (processor: Processor, changes: object, saved: SavedSettings) => void,
): void {
  const own = processor.values as Record<string, unknown>;
  use(
    processor,
    Object.fromEntries(Object.entries(saved.values).filter(([name, value]) => own[name] !== value)),
    saved,
  );
  const inner = processorsIn(processor);
  if (inner.length !== saved.inner.length) {
    throw new RangeError(
      `restoreState: the state must hold ${inner.length} inner processors, got ${saved.inner.length}`,
    );
  }
  inner.forEach((each, i) => {
    visit(each, saved.inner[i], use);
  });
}

function processorsIn(processor: Processor): readonly Processor[] {
  return processor.parts.filter((part: Part): part is Processor => 'format' in part);
}
