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

/** A side of the box, and the step by which it moves next: twice the last one, until one was too long. */
interface Face {
  readonly axis: number;
  readonly side: 1 | -1;
  stride: number;
  failed: boolean;
}

/**
 * Grows a large box of settings about a start in which the chance stays at or above a level: first a
 * single step on every side where there is one to take, so that the start does not stand at the edge, then each time the
 * face whose step costs least for the room it gives on its side. A step that costs too much is halved, down to a single one.
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
  const longest = (axis: number): number => Math.max(1, Math.floor(grid.axes[axis]!.values.length / 10));
  const endOf = ({ side }: Face): number[] => (side === 1 ? high : low);
  let faces = grid.axes.flatMap(({ category }, axis) =>
    category ? [] : ([1, -1] as const).map((side): Face => ({ axis, side, stride: 1, failed: false })),
  );
  while (faces.length > 0) {
    let pick: { readonly face: Face; readonly end: number; readonly gain: number } | undefined;
    for (const face of faces) {
      const { axis, side, stride } = face;
      const end = endOf(face);
      const old = end[axis]!;
      const next = Math.min(grid.axes[axis]!.values.length - 1, Math.max(0, old + side * stride));
      if (next === old) {
        face.stride = 0;
        continue;
      }
      end[axis] = next;
      const worst = worstIn({ chance, low, high, inside, enough: level });
      end[axis] = old;
      if (worst < level) {
        face.stride = Math.floor(stride / 2);
        face.failed = true;
        continue;
      }
      const room = Math.abs(old - start[axis]!);
      const gain =
        room === 0 ? 1e3 + worst : Math.log(1 + Math.abs(next - old) / room) * (worst - level + 0.02);
      if (pick === undefined || gain > pick.gain) pick = { face, end: next, gain };
    }
    if (pick !== undefined) {
      const { face, end } = pick;
      endOf(face)[face.axis] = end;
      if (!face.failed) face.stride = Math.min(2 * face.stride, longest(face.axis));
    }
    faces = faces.filter(({ stride }) => stride > 0);
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
