import { mean } from "../../numeric/index.js";
import type { StationSeries } from "./layer-log.js";

/** Growth slopes by plain regression, for comparison with the corrected one. */
export interface PlainSlopes {
  /**
   * Growth on measured stand-off by least squares. Gauge noise sits on both sides and makes it too high:
   * a rig looks more stable than it is.
   */
  readonly naive: number;
  /** The same with the stand-off one layer earlier as instrument: free of that bias, but scattered. */
  readonly instrumental: number;
}

/**
 * Naive and instrumental-variable slopes of growth on stand-off, places centred on their own means.
 *
 *     g[n] = dz[n] - (y[n+1] - y[n]); naive cov(y[n], g[n])/var(y[n]), instrumental cov(y[n-1], g[n])/cov(y[n-1], y[n])
 *
 * @returns slopes; null when no run of three measured layers exists
 */
export function plainSlopes(series: readonly StationSeries[]): PlainSlopes | null {
  let [crossed, squared, crossedBefore, squaredBefore] = [0, 0, 0, 0];
  for (const { standoff, rise } of series) {
    const rows: [before: number, now: number, growth: number][] = [];
    for (let n = 1; n + 1 < standoff.length; n++) {
      const [before, now, after] = [standoff[n - 1]!, standoff[n]!, standoff[n + 1]!];
      if (before !== null && now !== null && after !== null)
        rows.push([before, now, rise[n]! - (after - now)]);
    }
    const means = [0, 1, 2].map((j) => (rows.length === 0 ? 0 : mean(rows.map((row) => row[j]!))));
    for (const [before, now, growth] of rows) {
      const [x, z, g] = [now - means[1]!, before - means[0]!, growth - means[2]!];
      crossed += x * g;
      squared += x * x;
      crossedBefore += z * g;
      squaredBefore += z * x;
    }
  }
  return squared === 0 ? null : { naive: crossed / squared, instrumental: crossedBefore / squaredBefore };
}
