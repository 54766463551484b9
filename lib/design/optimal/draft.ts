import type { RandomStream } from "../../numeric/index.js";
import type { Basis } from "../model/index.js";
import type { Point, Region } from "../region/index.js";
import { randomAllowedPoint } from "../region/index.js";

/** Runs being chosen: their points, whole plots, blocks and model rows, kept in step. */
export interface Draft {
  readonly points: number[][];
  /** Whole plot of each run; runs of one plot share the hard-to-change axes. Each run its own without such axes. */
  readonly plots: readonly number[];
  /** Block of each run; all 0 without blocks. */
  readonly blocks: readonly number[];
  readonly rows: Float64Array;
}

/** Coded row of a point, with its block as last entry. */
// biome-ignore lint/complexity/useMaxParams: an inner loop, where an object per call would cost
export function codeInto(region: Region, point: Point, block: number, out: Float64Array): void {
  for (let j = 0; j < region.axes.length; j++) out[j] = region.axes[j]!.coded[point[j]!]!;
  out[region.axes.length] = block;
}

/**
 * Fills a point's model row, weighed by the root of its chance to survive: rows enter information as squares, so a coupon
 * counts by the information expected of it.
 *
 * @param coded - working memory, one number per axis and one for the block
 * @source P. Hackl, in MODA 4 (1995) 117; L. Imhof, D. Song and W. Wong, Statistica Sinica 12 (2002) 1145: designs for
 *   trials that may fail (both from memory). Whole plots, of which only some coupons survive, are weighed nearly so only
 */
// biome-ignore lint/complexity/useMaxParams: an inner loop, where an object per call would cost
export function fillRow(
  region: Region,
  basis: Basis,
  point: Point,
  block: number,
  coded: Float64Array,
  row: Float64Array,
): void {
  codeInto(region, point, block, coded);
  basis.fill(coded, row);
  const chance = region.lives(point);
  if (chance === 1) return;
  const weight = Math.sqrt(chance);
  for (let c = 0; c < row.length; c++) row[c]! *= weight;
}

/** Fills the model rows of a draft from its points. */
export function fillRows(region: Region, basis: Basis, draft: Draft): void {
  const width = basis.size * basis.copies;
  const coded = new Float64Array(region.axes.length + 1);
  for (const [run, point] of draft.points.entries()) {
    fillRow(
      region,
      basis,
      point,
      draft.blocks[run]!,
      coded,
      draft.rows.subarray(run * width, (run + 1) * width),
    );
  }
}

/** Axes that are hard to change, and the others. */
export function splitAxes(region: Region): {
  readonly hard: readonly number[];
  readonly easy: readonly number[];
} {
  const all = region.axes.map((_, j) => j);
  return {
    hard: all.filter((j) => region.axes[j]!.hard),
    easy: all.filter((j) => !region.axes[j]!.hard),
  };
}

/** Gives the listed runs new random allowed points; runs of one plot keep sharing the hard axes. */
export function redraw({
  region,
  draft,
  runs,
  stream,
}: {
  readonly region: Region;
  readonly draft: Draft;
  readonly runs: readonly number[];
  readonly stream: RandomStream;
}): void {
  const { easy } = splitAxes(region);
  for (const run of runs) {
    const point = draft.points[run]!;
    const movable = draft.plots.some((plot, i) => i !== run && plot === draft.plots[run])
      ? easy
      : region.axes.map((_, j) => j);
    draft.points[run] = randomAllowedPoint({ region, start: point, stream, movable });
  }
}

/** A draft of random allowed points. */
export function randomDraft({
  region,
  basis,
  layout,
  allowed,
  stream,
}: {
  readonly region: Region;
  readonly basis: Basis;
  readonly layout: { readonly plots: readonly number[]; readonly blocks: readonly number[] };
  readonly allowed: Point;
  readonly stream: RandomStream;
}): Draft {
  const { easy } = splitAxes(region);
  const all = region.axes.map((_, j) => j);
  const first = new Map<number, Point>();
  const points = layout.plots.map((plot) => {
    const shared = first.get(plot);
    const point = randomAllowedPoint({
      region,
      start: shared ?? allowed,
      stream,
      movable: shared === undefined ? all : easy,
    });
    if (shared === undefined) first.set(plot, point);
    return point;
  });
  return { ...layout, points, rows: new Float64Array(points.length * basis.size * basis.copies) };
}
