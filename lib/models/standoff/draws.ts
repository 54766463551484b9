import type { RandomStream } from "../../numeric/index.js";
import type { DriftFit } from "./drift.js";
import { filterSeries } from "./filter.js";

/** One way the rig may be, in agreement with the log. */
export interface DriftDraw {
  readonly slope: number;
  readonly layerSd: number;
  /** Growth at the reference, place by place, mm. */
  readonly growth: readonly number[];
  /** True stand-off at the last measured layer, place by place, mm. */
  readonly standoff: readonly number[];
}

/**
 * Draws from the belief a drift fit holds: cells of slope and spread in proportion to their chance (stratified),
 * then growth and last stand-off from their exact normal distributions.
 */
export function drawDrift(fit: DriftFit, count: number, random: RandomStream): readonly DriftDraw[] {
  const { slopes, layerSds, weights } = fit.posterior;
  const slopeCell = slopes[1]! - slopes[0]!;
  const spreadCell = layerSds[1]! - layerSds[0]!;
  let cell = 0;
  let below = 0;
  return Array.from({ length: count }, (_, i) => {
    const wanted = (i + random.uniform()) / count;
    while (cell < weights.length - 1 && below + weights[cell]! < wanted) below += weights[cell++]!;
    const slope = slopes[Math.floor(cell / layerSds.length)]! + slopeCell * (random.uniform() - 0.5);
    const layerSd = layerSds[cell % layerSds.length]! + spreadCell * (random.uniform() - 0.5);
    const places = fit.series.map((one) => {
      const filtered = filterSeries(one, slope, layerSd ** 2, fit.gaugeSd ** 2, fit.reference);
      const growth = filtered.growth + Math.sqrt(filtered.growthVariance) * random.normal();
      const standoff =
        filtered.offset + filtered.perGrowth * growth + Math.sqrt(filtered.variance) * random.normal();
      return { growth, standoff };
    });
    return {
      slope,
      layerSd,
      growth: places.map(({ growth }) => growth),
      standoff: places.map(({ standoff }) => standoff),
    };
  });
}

/** Quantile of an ascending array, between its neighbours. */
export function sortedQuantile(ascending: ArrayLike<number>, chance: number): number {
  const place = chance * (ascending.length - 1);
  const low = Math.floor(place);
  const high = Math.min(low + 1, ascending.length - 1);
  return ascending[low]! + (place - low) * (ascending[high]! - ascending[low]!);
}
