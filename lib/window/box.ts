import { sobolPoints } from "../numeric/index.js";
import type { GridPoint, SettingGrid } from "./grid.js";

/** Lowest and highest index of each factor. */
export interface GridBox {
  readonly low: GridPoint;
  readonly high: GridPoint;
  /** Lowest chance found inside and on the corners. */
  readonly worst: number;
}

/** Settings looked at inside a box besides its corners: while growing, and to state what is reached. */
const INSIDE = { growing: 48, final: 512 } as const;
/** Corners are all looked at up to this many factors. */
const MOST_CORNERS = 6;

/**
 * Grows the largest box of settings about a start in which the chance stays at or above a level: each time
 * the face whose step costs least per volume gained, with strides halved down to single steps.
 */
export function growBox({
  grid,
  chance,
  start,
  level,
}: {
  readonly grid: SettingGrid;
  /** At a grid point; 0 where the limits forbid it. */
  readonly chance: (point: GridPoint) => number;
  readonly start: GridPoint;
  readonly level: number;
}): GridBox {
  const dimensions = grid.axes.length;
  const inside = sobolPoints(INSIDE.growing, dimensions, 5);
  const low = [...start];
  const high = [...start];
  const numeric = grid.axes.flatMap((axis, j) => (axis.category ? [] : [j]));
  let stride = Math.max(1, ...grid.axes.map((axis) => Math.floor(axis.values.length / 10)));
  const frozen = new Set<string>();
  while (stride >= 1) {
    let pick: { j: number; side: 1 | -1; gain: number } | undefined;
    for (const j of numeric) {
      for (const side of [1, -1] as const) {
        if (frozen.has(`${j}/${side}`)) continue;
        const step = Math.min(stride, Math.max(1, Math.floor(grid.axes[j]!.values.length / 10)));
        const next = side === 1 ? high[j]! + step : low[j]! - step;
        if (next < 0 || next > grid.axes[j]!.values.length - 1) continue;
        const old = side === 1 ? high[j]! : low[j]!;
        (side === 1 ? high : low)[j] = next;
        const worst = worstIn({ chance, low, high, inside, enough: level });
        (side === 1 ? high : low)[j] = old;
        if (worst < level) {
          frozen.add(`${j}/${side}`);
          continue;
        }
        const width = high[j]! - low[j]! + 1;
        const gain = Math.log((width + step) / width) * (worst - level + 0.02);
        if (pick === undefined || gain > pick.gain) pick = { j, side, gain };
      }
    }
    if (pick === undefined) {
      stride = Math.floor(stride / 2);
      frozen.clear();
      continue;
    }
    const step = Math.min(stride, Math.max(1, Math.floor(grid.axes[pick.j]!.values.length / 10)));
    if (pick.side === 1) high[pick.j]! += step;
    else low[pick.j]! -= step;
  }
  const worst = worstIn({ chance, low, high, inside: sobolPoints(INSIDE.final, dimensions, 7), enough: 0 });
  return { low, high, worst };
}

/** Lowest chance at the corners and inside; stops as soon as it is below `enough`. */
function worstIn({
  chance,
  low,
  high,
  inside,
  enough,
}: {
  readonly chance: (point: GridPoint) => number;
  readonly low: readonly number[];
  readonly high: readonly number[];
  readonly inside: readonly (readonly number[])[];
  readonly enough: number;
}): number {
  let worst = 1;
  const moving = low.flatMap((value, j) => (value < high[j]! ? [j] : []));
  if (moving.length <= MOST_CORNERS) {
    for (let corner = 0; corner < 2 ** moving.length; corner++) {
      const point = [...low];
      moving.forEach((j, bit) => {
        if ((corner >> bit) & 1) point[j] = high[j]!;
      });
      worst = Math.min(worst, chance(point));
      if (worst < enough) return worst;
    }
  }
  for (const unit of inside) {
    worst = Math.min(worst, chance(low.map((value, j) => value + Math.round(unit[j]! * (high[j]! - value)))));
    if (worst < enough) return worst;
  }
  return worst;
}
