/**
 * What processors are made of.
 *
 * @module
 */

/** Something that a processor is made of: numbers that `process` changes, and how they begin. */
export interface Part {
  /** Every number that is remembered between calls, as `saveState` takes it. */
  readonly state: readonly Float64Array[];
  /** Returns to the state just after construction. */
  reset(): void;
  /** Called after `state` has been written from outside: makes again what follows from it. */
  restored?(): void;
}
