/** Search for the worst point of a function: one number comes out, so that a million points cost one `expect`. */

/** Numbers in [0, 1) that owe nothing to the library: the linear congruential generator of Numerical Recipes. */
export function plainRandom(seed = 1): () => number {
  let state = seed;
  return () => {
    state = (Math.imul(state, 1664525) + 1013904223) | 0;
    return (state >>> 0) / 4294967296;
  };
}

/** Largest value of `error(x)` over `count` points spread evenly over min ... max with one random point in each. */
export function worstOver(min: number, max: number, count: number, error: (x: number) => number): number {
  const random = plainRandom();
  let worst = 0;
  for (let i = 0; i < count; i++) {
    const e = error(min + ((max - min) * (i + random())) / count);
    if (!(e <= worst)) worst = e; // NaN stays, and fails
    if (e !== e) return NaN;
  }
  return worst;
}
