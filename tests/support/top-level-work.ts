/** What no module of `src/` may do: work while it is loaded. Planted for the test that looks for it. */
export const table = new Float64Array(8).map((_, index) => Math.sin(index));
