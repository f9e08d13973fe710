/** What no module of `src/` may do: work while it is loaded. Planted for the test that looks for it. */
export const table: Float64Array = new Float64Array(8).map((_, index) => Math.sin(index));

export class Counter {
  static #made = Number('0');
  readonly number = Counter.#made++;
}

console.log('loaded');
