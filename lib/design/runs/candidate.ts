import type { Region } from "../region/index.js";
import { type Axis, centrePoint, nearestLevel, type Point } from "../region/index.js";
import type { CodedRun, RunRole } from "./plan.js";

/** A chosen coupon before the order of work is settled. */
export interface Candidate {
  readonly role: RunRole;
  readonly point: Point;
  /** Where it stood before it was pulled to where coupons live. */
  readonly movedFrom?: Point;
  /** Block from 0, when the design itself fixes it. */
  readonly block?: number;
  /** Whole plot from 0, when the design itself fixes it. */
  readonly plot?: number;
}

/**
 * A textbook run on the axes' levels. A category of two levels takes its first for minus, its second for
 * plus, either for zero; one of more levels is coded by their index.
 */
export function candidateOf(axes: readonly Axis[], run: CodedRun, turn: number): Candidate {
  const point = axes.map((axis, j) => {
    const x = run.coded[j]!;
    if (!axis.category) return nearestLevel(axis, x);
    if (axis.values.length > 2) return x;
    return x === 0 ? turn % axis.values.length : x < 0 ? 0 : 1;
  });
  return { role: run.role, point, ...(run.block === undefined ? {} : { block: run.block - 1 }) };
}

/** Centre coupons; categories walk through their levels. */
export function centreCandidates(axes: readonly Axis[], count: number): readonly Candidate[] {
  return Array.from({ length: count }, (_, i) => ({ role: "centre", point: centrePoint(axes, i) }));
}

/** The point itself when allowed, else the first allowed one on the straight way to `target`. */
export function pullInside(region: Region, point: Point, target: Point): Point {
  if (region.allows(point)) return point;
  for (let share = 0.02; share < 1; share += 0.02) {
    const trial = point.map((level, j) =>
      region.axes[j]!.category ? level : Math.round(level + share * (target[j]! - level)),
    );
    if (region.allows(trial)) return trial;
  }
  return target;
}
