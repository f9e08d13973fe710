/**
 * Assignment: to each row its own column, at the least sum of costs.
 *
 *     min over one-to-one maps p of  sum over rows r of cost[r][p(r)]
 *
 * Rows are added one after the other; each time, the shortest way of reduced costs c[r][j] - u[r] - v[j] >= 0 leads from the
 * new row to a free column, along which the assignment is turned over (n rows and m columns: n^2 m steps).
 *
 * Source: H. W. Kuhn, "The Hungarian Method for the Assignment Problem", Naval Research Logistics Quarterly 2, 1955; in the
 * form of shortest augmenting paths by R. Jonker, A. Volgenant, Computing 38, 1987 (both from memory).
 *
 * @module
 */

/**
 * The column of every row.
 *
 * @param costs - at least as many columns as rows; Infinity forbids a pair
 * @throws RangeError if there are more rows than columns, or no assignment that is allowed
 */
export function assign(costs: readonly (readonly number[])[]): number[] {
  const rows = costs.length,
    columns = costs[0]?.length ?? 0;
  if (rows > columns) throw new RangeError(`assign: columns must be at least ${rows}, got ${columns}`);
  const u = new Float64Array(rows),
    v = new Float64Array(columns);
  const rowOf = new Int32Array(columns).fill(-1);
  for (let row = 0; row < rows; row++) {
    const distance = new Float64Array(columns).fill(Infinity);
    const before = new Int32Array(columns).fill(-1); // column before this one on the way
    const done = new Uint8Array(columns);
    let r = row,
      last = -1,
      length = 0;
    for (;;) {
      let next = -1;
      for (let j = 0; j < columns; j++) {
        if (done[j]) continue;
        const through = length + costs[r][j] - u[r] - v[j];
        if (through < distance[j]) {
          distance[j] = through;
          before[j] = last;
        }
        if (next < 0 || distance[j] < distance[next]) next = j;
      }
      if (next < 0 || distance[next] === Infinity) throw new RangeError(`assign: row ${row} must have a column left`);
      length = distance[next];
      done[next] = 1;
      last = next;
      if (rowOf[next] < 0) break;
      r = rowOf[next];
    }
    u[row] += length;
    for (let j = 0; j < columns; j++) {
      if (!done[j] || j === last) continue;
      u[rowOf[j]] += length - distance[j];
      v[j] -= length - distance[j];
    }
    for (let j = last; j >= 0; j = before[j]) rowOf[j] = before[j] < 0 ? row : rowOf[before[j]];
  }
  const columnOf = new Array<number>(rows);
  rowOf.forEach((row, column) => {
    if (row >= 0) columnOf[row] = column;
  });
  return columnOf;
}
