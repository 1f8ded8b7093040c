// Reading between the numbers of a table; what the table is about it does not know.
// The same as web/offline/interpolation.py: along each axis the four nodes around a value carry a
// cubic (Lagrange's), three a parabola, two a straight line.

const MOST_NODES = 4;

/**
 * @typedef {{name: string, nodes: number[], log: boolean}} Axis
 * @typedef {{what: string, unit: string, greatest_error: number, axes: Axis[], values: number[]}} Table
 */

/**
 * Return the value of a table at a point; null outside of it.
 * @param {Table} table
 * @param {number[]} at a number for each axis
 * @returns {number | null}
 */
export function interpolate(table, at) {
  let places = [{ place: 0, share: 1 }];
  for (const [side, axis] of table.axes.entries()) {
    const value = at[side];
    const last = axis.nodes.length - 1;
    // "not within" and not "outside": so that a value that is no number is refused too
    if (!(value >= axis.nodes[0] && value <= axis.nodes[last])) return null;
    const around = weights(axis, value);
    places = places.flatMap(({ place, share }) =>
      around.map(({ node, weight }) => ({
        place: place * axis.nodes.length + node,
        share: share * weight,
      })),
    );
  }
  return places.reduce((sum, { place, share }) => sum + table.values[place] * share, 0);
}

/**
 * Return the nodes around a value, each with its weight.
 * @param {Axis} axis
 * @param {number} value
 */
function weights(axis, value) {
  const take = Math.min(MOST_NODES, axis.nodes.length);
  const inside = axis.nodes.findLastIndex((node) => node <= value);
  const first = Math.min(Math.max(inside - 1, 0), axis.nodes.length - take);
  const scale = axis.log ? Math.log : (/** @type {number} */ number) => number;
  const nodes = axis.nodes.slice(first, first + take).map((node) => scale(node));
  const x = scale(value);
  return nodes.map((own, i) => ({
    node: first + i,
    weight: nodes.reduce((part, other, j) => (j === i ? part : (part * (x - other)) / (own - other)), 1),
  }));
}
