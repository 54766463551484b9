import { choleskyInPlace, normalQuantile, resample } from "../../numeric/index.js";
import type { GrowthPosterior } from "./growth-fit.js";
import { beginWall, copyState, type GrowthState, growthRow } from "./growth-state.js";

/** A wall to build and throw away, for what it tells. */
export interface WallCoupon {
  readonly layers: number;
  /** Layers before which to read the stand-off; the height of the wall is read once at the end. */
  readonly measure: readonly number[];
  /** Half the band of the stand-off before the last layer of the build, without levelling, mm: before and after this coupon. */
  readonly before: number;
  readonly after: number;
  readonly why: string;
}

/**
 * Most coupons, their lengths as shares of the build, and the longest one. Longer ones cost as much as the build and gain
 * little: for a ring of 200 layers 380 layers in three coupons would leave 6.5 mm in place of the 10.7 mm of 150 layers in
 * two, and a levelling leaves less than either.
 */
const MOST = 4;
const LENGTHS = [0.35, 0.5, 0.7, 0.85] as const;
const LONGEST = 80;
/** What beginning a wall costs, in layers. */
const SET_UP = 8;
/** A coupon that narrows the band by less than this share is not worth laying. */
const WORTH = 0.1;

/** Layers before which to measure: all of the first ones, then ever further apart, and the last. */
export function measuredLayers(layers: number): readonly number[] {
  const result: number[] = [];
  for (let at = 1; at < layers; at = Math.max(at + 1, Math.round(at * 1.4))) result.push(at);
  return [...result, layers];
}

/** Cells of equal chance that stand for all. */
const CELLS = 60;

/** What a reading or the stand-off to foresee adds up from, within one cell. */
interface Told {
  readonly mean: number;
  readonly row: Float64Array;
}

/**
 * The walls that narrow the band of the stand-off most for their layers, one after the other. Readings and the stand-off of
 * the build are taken as jointly normal over all that the log leaves possible, so that nothing needs to be simulated; a rig
 * that answers its stand-off is taken as held at it.
 */
export function proposeCoupons(
  posterior: GrowthPosterior,
  { layers, margin, level }: { readonly layers: number; readonly margin: number; readonly level: number },
): readonly WallCoupon[] {
  const lengths = [...new Set(LENGTHS.map((share) => Math.min(LONGEST, Math.round(share * layers))))].filter(
    (length) => length >= 5 && length < layers,
  );
  if (lengths.length === 0) return [];
  const z = normalQuantile((1 + level) / 2);
  const view = viewOf(posterior, layers);
  const chosen: number[] = [];
  const plan: WallCoupon[] = [];
  let before = z * Math.sqrt(view.variance([]));
  while (plan.length < MOST && before > margin) {
    const tried = lengths.map((length) => {
      const after = z * Math.sqrt(view.variance([...chosen, length]));
      return { length, after, gain: Math.log(before / after) / (length + SET_UP) };
    });
    // The last layers of a build are told by long walls alone: among those that suffice the cheapest, else the best gain.
    const enough = tried.filter(({ after }) => after <= margin);
    const best = (enough.length > 0 ? enough : tried).reduce((a, b) => (b.gain > a.gain ? b : a));
    if (1 - best.after / before < WORTH) break;
    const twin = chosen.length > 0 || posterior.before > 1;
    plan.push({
      layers: best.length,
      measure: measuredLayers(best.length),
      before,
      after: best.after,
      why: twin
        ? "how far walls laid alike differ, and the course of the later layers once more, with the rises of the schedule"
        : "how much a layer grows, how the growth falls as the wall heats up, and by which layer it settles",
    });
    chosen.push(best.length);
    before = best.after;
  }
  return plan;
}

/** Joint normal view of coupons' readings and the stand-off before the last layer of the build. */
function viewOf(posterior: GrowthPosterior, layers: number) {
  const { layout, belief, gaugeSd } = posterior;
  const chosen = resample(
    posterior.cells.map(({ weight }) => weight),
    CELLS,
  );
  const weight = 1 / CELLS;
  const sums = chosen.map((place) => {
    const { traits, state } = posterior.cells[place]!;
    const fresh = copyState(state);
    beginWall(fresh, layout, { traits, drop: belief.drop.mean, standoff: belief.standoff });
    const heights: Float64Array[] = [new Float64Array(layout.size)];
    for (let layer = 1; layer < layers; layer++) {
      const next = heights.at(-1)!.slice();
      growthRow(layout, layer, traits.heated).forEach((part, i) => {
        next[i]! += part;
      });
      heights.push(next);
    }
    return { traits, state: fresh, heights };
  });
  const noise = (traits: { readonly rippleSd: number }): number => gaugeSd ** 2 + traits.rippleSd ** 2;
  return {
    /** Variance of the build's stand-off once coupons of these lengths are read, mm2. */
    variance(coupons: readonly number[]): number {
      const readings = coupons.flatMap((length, wall) =>
        measuredLayers(length)
          .filter((layer) => layer > 1)
          .map((layer) => ({ wall, laid: layer - 1 })),
      );
      const n = readings.length;
      const size = n + 1;
      const covariance = new Float64Array(size * size);
      const means = sums.map(({ state, heights }) =>
        [...readings.map(({ laid }) => laid), layers - 1].map((laid) => dotRow(heights[laid]!, state.mean)),
      );
      const middle = Array.from({ length: size }, (_, i) =>
        means.reduce((sum, mean) => sum + weight * mean[i]!, 0),
      );
      sums.forEach(({ traits, state, heights }, c) => {
        const told: Told[] = [...readings.map(({ laid }) => laid), layers - 1].map((laid, i) => ({
          mean: means[c]![i]! - middle[i]!,
          row: heights[laid]!,
        }));
        const wallOf = (i: number): number => (i === n ? -1 : readings[i]!.wall);
        const laidOf = (i: number): number => (i === n ? layers - 1 : readings[i]!.laid);
        const spread = told.map(({ row }) => ({
          own: spreadRow(state, row, layout.size),
          shared: spreadRow(state, row, layout.wall),
        }));
        for (let i = 0; i < size; i++) {
          for (let j = 0; j <= i; j++) {
            const same = wallOf(i) === wallOf(j);
            let value = told[i]!.mean * told[j]!.mean;
            value += dotRow(told[j]!.row, same ? spread[i]!.own : spread[i]!.shared);
            if (same) value += traits.layerSd ** 2 * Math.min(laidOf(i), laidOf(j)) + gaugeSd ** 2;
            if (i === j && i < n) value += noise(traits);
            covariance[i * size + j]! += weight * value;
          }
        }
      });
      // The last pivot of the Cholesky factor is what the readings leave of the last unknown.
      choleskyInPlace(covariance, size);
      return covariance[size * size - 1]! ** 2;
    },
  };
}

const dotRow = (row: Float64Array, by: Float64Array): number => {
  let sum = 0;
  for (let i = 0; i < row.length; i++) sum += row[i]! * by[i]!;
  return sum;
};

/** Covariance times a row, of the unknowns up to `end`: with what a wall has of its own, or without it, as for another wall. */
function spreadRow({ covariance }: GrowthState, row: Float64Array, end: number): Float64Array {
  const size = row.length;
  const result = new Float64Array(size);
  for (let i = 0; i < end; i++) {
    const part = row[i]!;
    if (part !== 0) for (let j = 0; j < end; j++) result[j]! += part * covariance[i * size + j]!;
  }
  return result;
}
