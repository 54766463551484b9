import { type RandomStream, SOBOL_MAX_DIMENSIONS, sobolPoints } from "../../numeric/index.js";
import type { Axis, Point } from "./factor.js";
import type { Region } from "./limit.js";

/** Lowest and highest allowed level reached from an allowed point along one numeric axis. */
export function allowedSpan(region: Region, point: number[], axis: number): readonly [number, number] {
  const last = region.axes[axis]!.values.length - 1;
  const home = point[axis]!;
  const reach = (end: number): number => {
    point[axis] = end;
    if (region.allows(point)) return end;
    let inside = home;
    let outside = end;
    while (Math.abs(outside - inside) > 1) {
      const middle = (inside + outside) >> 1;
      point[axis] = middle;
      if (region.allows(point)) inside = middle;
      else outside = middle;
    }
    return inside;
  };
  const span = [reach(0), reach(last)] as const;
  point[axis] = home;
  return span;
}

/**
 * A random allowed point: by rejection, or where the region is thin by a walk along the axes.
 */
export function randomAllowedPoint({
  region,
  start,
  stream,
  movable = region.axes.map((_, j) => j),
}: {
  readonly region: Region;
  /** An allowed point; axes that are not movable keep its levels. */
  readonly start: Point;
  readonly stream: RandomStream;
  readonly movable?: readonly number[];
}): number[] {
  const { axes } = region;
  const draw = (axis: Axis): number => stream.integer(0, axis.values.length - 1);
  const point = [...start];
  for (let trial = 0; trial < 60; trial++) {
    for (const j of movable) point[j] = draw(axes[j]!);
    if (region.allows(point)) return point;
  }
  for (const j of movable) point[j] = start[j]!;
  for (let round = 0; round < 3; round++) {
    for (const j of movable) {
      const home = point[j]!;
      point[j] = axes[j]!.category ? draw(axes[j]!) : stream.integer(...allowedSpan(region, point, j));
      if (!region.allows(point)) point[j] = home;
    }
  }
  return point;
}

/**
 * Allowed points spread evenly over the region: a Sobol sequence, thinned by the limits.
 */
export function spreadAllowedPoints({
  region,
  count,
  start,
  seed,
  stream,
}: {
  readonly region: Region;
  readonly count: number;
  /** An allowed point, from which thin regions are walked when the sequence meets too few. */
  readonly start: Point;
  readonly seed: number;
  readonly stream: RandomStream;
}): readonly Point[] {
  const { axes } = region;
  const found: Point[] = [];
  if (axes.length <= SOBOL_MAX_DIMENSIONS) {
    const budget = region.limits.length === 0 ? count : 20 * count;
    for (const unit of sobolPoints(budget, axes.length, seed)) {
      const point = axes.map((axis, j) => Math.floor(unit[j]! * axis.values.length));
      if (region.allows(point)) found.push(point);
      if (found.length === count) return found;
    }
  }
  while (found.length < count) found.push(randomAllowedPoint({ region, start, stream }));
  return found;
}
