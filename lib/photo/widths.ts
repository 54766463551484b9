import { requireCount, requireThat } from "../errors/index.js";
import type { Point } from "./plane.js";

/** A point along and across a bead. */
interface Placed {
  readonly along: number;
  readonly across: number;
}

/**
 * The distance of two edges at stations spread evenly over the stretch that both cover, square to their common direction:
 * where along the edge a point was set does not matter, only how well it lies on it. Between its points an edge is taken
 * as straight.
 *
 * @param edges - points on each edge, mm, at least two each, in any order
 * @returns one width per station, mm
 * @throws {BeadbenchError} `bad-argument` where the edges do not run beside each other
 */
export function widthsBetween(
  edges: readonly [readonly Point[], readonly Point[]],
  stations: number,
): readonly number[] {
  requireCount("the number of stations", stations, { min: 1 });
  for (const edge of edges)
    requireThat(edge.length >= 2, `an edge needs at least two points, got ${edge.length}`);
  const angle = commonDirection(edges);
  const [first, second] = edges.map((edge) => place(edge, angle)) as [Placed[], Placed[]];
  const from = Math.max(first[0]!.along, second[0]!.along);
  const to = Math.min(first.at(-1)!.along, second.at(-1)!.along);
  requireThat(
    to > from,
    "the two edges do not run beside each other: drag them along both sides of the same stretch",
  );
  return Array.from({ length: stations }, (_, k) => {
    const along = from + ((k + 0.5) / stations) * (to - from);
    return Math.abs(acrossAt(second, along) - acrossAt(first, along));
  });
}

/** The direction of both edges together: the main axis of their points, each edge about its own middle. */
function commonDirection(edges: readonly (readonly Point[])[]): number {
  let [xx, xy, yy] = [0, 0, 0];
  for (const edge of edges) {
    const middle = {
      x: edge.reduce((sum, { x }) => sum + x, 0) / edge.length,
      y: edge.reduce((sum, { y }) => sum + y, 0) / edge.length,
    };
    for (const point of edge) {
      const [dx, dy] = [point.x - middle.x, point.y - middle.y];
      xx += dx * dx;
      xy += dx * dy;
      yy += dy * dy;
    }
  }
  return Math.atan2(2 * xy, xx - yy) / 2;
}

function place(edge: readonly Point[], angle: number): Placed[] {
  const [cos, sin] = [Math.cos(angle), Math.sin(angle)];
  return edge
    .map(({ x, y }) => ({ along: cos * x + sin * y, across: cos * y - sin * x }))
    .sort((a, b) => a.along - b.along);
}

function acrossAt(edge: readonly Placed[], along: number): number {
  const k = Math.max(
    1,
    edge.findIndex((point) => point.along >= along),
  );
  const [before, after] = [edge[k - 1]!, edge[k]!];
  const span = after.along - before.along;
  return span === 0
    ? (before.across + after.across) / 2
    : before.across + ((along - before.along) / span) * (after.across - before.across);
}
