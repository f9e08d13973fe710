/**
 * Moves that agree with all measured pairs as well as they can.
 *
 *     delay      minimise   sum over edges of w (d + m[b] - m[a])^2      d: how much later b hears the drum than a
 *     polarity   maximise   sum over edges of w s p[a] p[b]              s: measured sign, p: +1 or -1
 *
 * Some microphones are held where they are. What hangs together without any of them held is held by its first.
 * The delays are a linear least-squares problem; the signs are set along the strongest edges first, then each is turned as
 * long as that makes the sum larger.
 *
 * @module
 */

/** A measured pair of microphones, by index. */
export interface Edge {
  readonly a: number;
  readonly b: number;
  readonly delaySamples: number;
  readonly polarity: 1 | -1;
  readonly weight: number;
}

/** Moves in samples; `held` has a number for each microphone that must not be moved any other way. */
export function solveDelays(held: readonly (number | undefined)[], edges: readonly Edge[]): number[] {
  const moves = anchored(held, edges, 0);
  const free = moves.flatMap((move, i) => (move === undefined ? [i] : []));
  const row = new Map(free.map((microphone, i) => [microphone, i]));
  const matrix = free.map(() => new Float64Array(free.length));
  const right = new Float64Array(free.length);
  for (const { a, b, delaySamples, weight } of edges) {
    for (const [i, j, delay] of [
      [b, a, delaySamples],
      [a, b, -delaySamples],
    ]) {
      // prettier-ignore
      const at = row.get(i);
      if (at === undefined) continue;
      const other = row.get(j);
      matrix[at][at] += weight;
      right[at] -= weight * delay;
      if (other === undefined) right[at] += weight * (moves[j] ?? 0);
      else matrix[at][other] -= weight;
    }
  }
  const solution = eliminate(matrix, right);
  return moves.map((move, i) => move ?? solution[row.get(i) ?? 0]);
}

/** Signs; `held` has one for each microphone that must not be turned. */
export function solvePolarities(held: readonly (1 | -1 | undefined)[], edges: readonly Edge[]): (1 | -1)[] {
  const signs = anchored<1 | -1>(held, edges, 1);
  const mayTurn = signs.map((sign) => sign === undefined);
  const byWeight = [...edges].sort((x, y) => y.weight - x.weight);
  for (
    let edge: Edge | undefined;
    (edge = byWeight.find(({ a, b }) => (signs[a] === undefined) !== (signs[b] === undefined)));
  ) {
    const { a, b, polarity } = edge;
    if (signs[a] === undefined) signs[a] = times(signs[b], polarity);
    else signs[b] = times(signs[a], polarity);
  }
  const result = signs.map((sign) => sign ?? 1);
  const gainOfTurning = (i: number): number =>
    edges.reduce(
      (sum, { a, b, polarity, weight }) => (a === i || b === i ? sum - weight * polarity * result[a] * result[b] : sum),
      0,
    );
  for (let turned = true; turned;) {
    turned = false;
    for (let i = 0; i < result.length; i++) {
      if (!mayTurn[i] || gainOfTurning(i) <= 0) continue;
      result[i] = times(result[i], -1);
      turned = true;
    }
  }
  return result;
}

function times(a: 1 | -1 | undefined, b: 1 | -1): 1 | -1 {
  return a === b ? 1 : -1;
}

/** `held` with a value for the first microphone of everything that hangs together and holds none. */
function anchored<T>(held: readonly (T | undefined)[], edges: readonly Edge[], value: T): (T | undefined)[] {
  const result = [...held];
  const seen = new Set<number>();
  for (let i = 0; i < held.length; i++) {
    if (seen.has(i)) continue;
    const together = [i];
    for (const microphone of together) {
      for (const { a, b } of edges) {
        const next = a === microphone ? b : b === microphone ? a : undefined;
        if (next !== undefined && !together.includes(next)) together.push(next);
      }
    }
    together.forEach((microphone) => seen.add(microphone));
    if (together.every((microphone) => result[microphone] === undefined)) result[i] = value;
  }
  return result;
}

/** Solves a positive definite system by Gaussian elimination. */
function eliminate(matrix: readonly Float64Array[], right: Float64Array): Float64Array {
  const n = right.length;
  for (let i = 0; i < n; i++) {
    for (let k = i + 1; k < n; k++) {
      const factor = matrix[k][i] / matrix[i][i];
      if (factor === 0) continue;
      for (let j = i; j < n; j++) matrix[k][j] -= factor * matrix[i][j];
      right[k] -= factor * right[i];
    }
  }
  for (let i = n - 1; i >= 0; i--) {
    for (let j = i + 1; j < n; j++) right[i] -= matrix[i][j] * right[j];
    right[i] /= matrix[i][i];
  }
  return right;
}
