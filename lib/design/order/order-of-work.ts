import type { RandomStream } from "../../numeric/index.js";

/** Runs in nested groups: blocks, in them whole plots, in them run numbers. */
type Nest = number[][][];

/**
 * A random order of work: blocks one after another, whole plots in random order within their block, runs
 * in random order within their whole plot.
 *
 * @param plots - whole plot of each run; pass a different number per run when nothing is hard to change
 * @returns run numbers in order of work
 */
export function randomOrder(
  blocks: readonly number[],
  plots: readonly number[],
  stream: RandomStream,
): readonly number[] {
  return randomNest(blocks, plots, stream).flat(2);
}

/**
 * A random order under the same restrictions in which the model's columns are as little correlated with a
 * steady and a bending drift over time as swaps within plots and of plots within blocks can make them.
 *
 * @returns the order, and the largest correlation of a column with the linear drift
 * @source time-count and trend-free orders: Draper and Stoneman, Technometrics 10 (1968) 301-311; the
 *   search is our own
 */
export function driftRobustOrder({
  blocks,
  plots,
  columns,
  stream,
}: {
  readonly blocks: readonly number[];
  readonly plots: readonly number[];
  /** Orthogonal model columns without the mean; a longer column weighs more. */
  readonly columns: readonly Float64Array[];
  readonly stream: RandomStream;
}): { readonly order: readonly number[]; readonly correlation: number } {
  const trends = driftTrends(plots.length);
  const along = (trend: readonly number[], column: Float64Array, order: readonly number[]): number =>
    trend.reduce((dot, t, place) => dot + t * column[order[place]!]!, 0);
  const loss = (order: readonly number[]): number =>
    columns.reduce(
      (sum, column) => sum + trends.reduce((s, trend) => s + along(trend, column, order) ** 2, 0),
      0,
    );
  let best = { order: randomOrder(blocks, plots, stream), loss: Number.POSITIVE_INFINITY };
  for (let start = 0; start < STARTS; start++) {
    const nest = randomNest(blocks, plots, stream);
    const least = settle(nest, loss, stream);
    if (least < best.loss) best = { order: nest.flat(2), loss: least };
  }
  const correlation = columns.reduce(
    (largest, column) =>
      Math.max(largest, Math.abs(along(trends[0]!, column, best.order)) / Math.hypot(...column)),
    0,
  );
  return { order: best.order, correlation };
}

const STARTS = 4;
const SWAPS = 1500;

/** Swaps runs and plots at random while the loss does not grow; returns the loss reached. */
function settle(nest: Nest, loss: (order: readonly number[]) => number, stream: RandomStream): number {
  let least = loss(nest.flat(2));
  for (let trial = 0; trial < SWAPS && least > 1e-12; trial++) {
    const block = nest[stream.integer(0, nest.length - 1)]!;
    const plot = block[stream.integer(0, block.length - 1)]!;
    const swapRuns = plot.length > 1 && stream.uniform() < 0.5;
    const undo = swapRuns ? swapTwo(plot, stream) : block.length > 1 ? swapTwo(block, stream) : undefined;
    if (undo === undefined) continue;
    const value = loss(nest.flat(2));
    if (value <= least) least = value;
    else undo();
  }
  return least;
}

function randomNest(blocks: readonly number[], plots: readonly number[], stream: RandomStream): Nest {
  const names = [...new Set(blocks)].sort((a, b) => a - b);
  return names.map((block) => {
    const runs = [...blocks.keys()].filter((run) => blocks[run] === block);
    const inside = [...new Set(runs.map((run) => plots[run]!))];
    return stream.shuffle(inside).map((plot) => stream.shuffle(runs.filter((run) => plots[run] === plot)));
  });
}

/** Linear and quadratic drift over the run order, orthonormal and free of the mean. */
function driftTrends(runs: number): readonly (readonly number[])[] {
  const middle = (runs - 1) / 2;
  const linear = Array.from({ length: runs }, (_, i) => i - middle);
  const square = linear.reduce((sum, t) => sum + t * t, 0) / runs;
  const bend = linear.map((t) => t * t - square);
  return [linear, bend].map((trend) => {
    const norm = Math.hypot(...trend);
    return trend.map((t) => (norm > 0 ? t / norm : 0));
  });
}

/** Swaps two random entries; returns what undoes it. */
function swapTwo<T>(items: T[], stream: RandomStream): () => void {
  const i = stream.integer(0, items.length - 1);
  const k = (i + stream.integer(1, items.length - 1)) % items.length;
  const swap = (): void => {
    [items[i], items[k]] = [items[k]!, items[i]!];
  };
  swap();
  return swap;
}
