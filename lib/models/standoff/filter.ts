import type { StationSeries } from "./layer-log.js";

/** What a series says about its growth and its last stand-off, given slope and spreads. */
export interface Filtered {
  /** -2 log restricted likelihood, growth and first stand-off integrated out. */
  readonly loss: number;
  /** Growth at the reference stand-off: normal with this mean and variance. */
  readonly growth: number;
  readonly growthVariance: number;
  /** Last stand-off given growth h: normal with mean `offset + perGrowth h` and this variance. */
  readonly offset: number;
  readonly perGrowth: number;
  readonly variance: number;
}

/**
 * Kalman filter of one place.
 *
 *     s[n+1] = s[n] + dz[n] - h0 - kappa (s[n] - s_ref) + w, w ~ N(0, sigma^2)
 *     y[n] = s[n] + v, v ~ N(0, gauge^2)
 *
 * Growth h0 enters linearly, so the filter runs with it as an open coefficient; h0 and the first
 * stand-off have flat priors and are integrated out exactly.
 *
 * @param slope - kappa
 * @param layerVariance - sigma^2, mm2
 * @param gaugeVariance - gauge^2, mm2
 * @param reference - s_ref, mm
 * @source Harvey, Forecasting, Structural Time Series Models and the Kalman Filter (1989), sections 3.2 to 3.4
 */
export function filterSeries(
  series: StationSeries,
  slope: number,
  layerVariance: number,
  gaugeVariance: number,
  reference: number,
): Filtered {
  const { standoff, rise } = series;
  const keep = 1 - slope;
  let offset = standoff[0]!;
  let perGrowth = 0;
  let variance = gaugeVariance;
  let [logs, squares, cross, weight] = [0, 0, 0, 0];
  // Columns by which first stand-off and growth enter the expected stand-offs, and their Gram matrix.
  let [start, grown] = [1, 0];
  let [startStart, startGrown, grownGrown] = [1, 0, 0];
  for (let n = 1; n < standoff.length; n++) {
    offset = keep * offset + rise[n - 1]! + slope * reference;
    perGrowth = keep * perGrowth - 1;
    variance = keep * keep * variance + layerVariance;
    start *= keep;
    grown = keep * grown - 1;
    const measured = standoff[n]!;
    if (Number.isNaN(measured)) continue;
    startStart += start * start;
    startGrown += start * grown;
    grownGrown += grown * grown;
    const total = variance + gaugeVariance;
    const surprise = measured - offset;
    logs += Math.log(total);
    squares += (surprise * surprise) / total;
    cross += (perGrowth * surprise) / total;
    weight += (perGrowth * perGrowth) / total;
    const gain = variance / total;
    offset += gain * surprise;
    perGrowth *= 1 - gain;
    variance *= 1 - gain;
  }
  return {
    loss:
      logs +
      squares -
      (cross * cross) / weight +
      Math.log(weight) -
      Math.log(startStart * grownGrown - startGrown * startGrown),
    growth: cross / weight,
    growthVariance: 1 / weight,
    offset,
    perGrowth,
    variance,
  };
}
