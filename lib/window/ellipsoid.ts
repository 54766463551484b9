import { choleskyWithJitter, sobolPoints } from "../numeric/index.js";
import type { GridPoint, SettingGrid } from "./grid.js";
import type { Scored } from "./pool.js";

/**
 * Settings x with (x - centre)' shape^-1 (x - centre) <= 1, in the factors' units. It follows ridges a box
 * cannot: wire feed and travel speed that must move together, for example.
 */
export interface WindowEllipsoid {
  readonly factors: readonly string[];
  readonly centre: readonly number[];
  readonly shape: readonly (readonly number[])[];
  /** Lowest chance found on its surface. */
  readonly worst: number;
}

/** Directions looked at on the surface. */
const DIRECTIONS = 256;

/**
 * The largest ellipsoid about a setting whose surface keeps the level: its proportions from the settings
 * found above the level, its size by bisection.
 *
 * @returns undefined when there are too few such settings, or none around the centre
 */
export function growEllipsoid({
  grid,
  chance,
  centre,
  above,
  level,
}: {
  readonly grid: SettingGrid;
  readonly chance: (point: GridPoint) => number;
  readonly centre: GridPoint;
  readonly above: readonly Scored[];
  readonly level: number;
}): WindowEllipsoid | undefined {
  const numeric = grid.axes.flatMap((axis, j) => (axis.category ? [] : [j]));
  const n = numeric.length;
  if (n === 0 || above.length < 5 * n) return undefined;
  const origin = numeric.map((j) => Number(grid.axes[j]!.values[centre[j]!]!));
  const ranges = numeric.map((j) => spanOf(grid, j));
  const covariance = new Float64Array(n * n);
  for (const { point } of above) {
    const away = numeric.map((j, a) => (Number(grid.axes[j]!.values[point[j]!]!) - origin[a]!) / ranges[a]!);
    for (let a = 0; a < n; a++)
      for (let b = 0; b < n; b++) covariance[a * n + b]! += (away[a]! * away[b]!) / above.length;
  }
  for (let a = 0; a < n; a++) covariance[a * n + a]! += 1e-6;
  const factor = new Float64Array(n * n);
  if (Number.isNaN(choleskyWithJitter(covariance, factor, n))) return undefined;
  const directions = sphere(n);
  const settingsAt = (direction: readonly number[], radius: number): readonly number[] | undefined => {
    const values = numeric.map((_, a) => {
      let sum = 0;
      for (let b = 0; b <= a; b++) sum += factor[a * n + b]! * direction[b]!;
      return origin[a]! + ranges[a]! * radius * sum;
    });
    const inRange = values.every((value, a) => {
      const list = grid.axes[numeric[a]!]!.values;
      return value >= Number(list[0]) && value <= Number(list[list.length - 1]);
    });
    return inRange ? values : undefined;
  };
  const worstAt = (radius: number, enough: number): number => {
    let worst = 1;
    for (const direction of directions) {
      const values = settingsAt(direction, radius);
      if (values === undefined) return 0;
      const wanted = Object.fromEntries(grid.axes.map((axis, j) => [axis.name, axis.values[centre[j]!]!]));
      numeric.forEach((j, a) => {
        wanted[grid.axes[j]!.name] = values[a]!;
      });
      worst = Math.min(worst, chance(grid.nearest(wanted)));
      if (worst < enough) return worst;
    }
    return worst;
  };
  let low = 0;
  let high = 4;
  for (let i = 0; i < 14; i++) {
    const middle = 0.5 * (low + high);
    if (worstAt(middle, level) >= level) low = middle;
    else high = middle;
  }
  if (low === 0) return undefined;
  const shape = numeric.map((_, a) =>
    numeric.map((__, b) => {
      let sum = 0;
      for (let k = 0; k <= Math.min(a, b); k++) sum += factor[a * n + k]! * factor[b * n + k]!;
      return sum * low * low * ranges[a]! * ranges[b]!;
    }),
  );
  return { factors: numeric.map((j) => grid.axes[j]!.name), centre: origin, shape, worst: worstAt(low, 0) };
}

function spanOf(grid: SettingGrid, j: number): number {
  const values = grid.axes[j]!.values;
  return Number(values[values.length - 1]) - Number(values[0]);
}

/** Directions spread over the unit sphere: pairs of uniform numbers turned normal, then scaled to length 1. */
function sphere(n: number): readonly (readonly number[])[] {
  const even = n + (n % 2);
  return sobolPoints(DIRECTIONS, even, 9).map((u) => {
    const z: number[] = [];
    for (let k = 0; k < even; k += 2) {
      const r = Math.sqrt(-2 * Math.log(u[k]!));
      z.push(r * Math.cos(2 * Math.PI * u[k + 1]!), r * Math.sin(2 * Math.PI * u[k + 1]!));
    }
    const kept = z.slice(0, n);
    const length = Math.sqrt(kept.reduce((sum, value) => sum + value * value, 0));
    return kept.map((value) => value / length);
  });
}
