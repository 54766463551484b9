import { requireThat } from "../../errors/index.js";
import { mean as average, normalCdf, normalQuantile } from "../../numeric/index.js";
import type { ConvergedFit } from "../common/index.js";
import { diagnoseRows } from "../common/index.js";

export interface NormalityPlot {
  /** In order of residual; `row` is 0-based. Near a straight line when errors are normal. */
  readonly points: readonly { readonly row: number; readonly quantile: number; readonly residual: number }[];
  /** Squared correlation of the points: Shapiro and Francia's W'. */
  readonly straightness: number;
  /** Chance of so crooked a plot with normal errors; for 5 <= n <= 5000. */
  readonly p: number;
}

/**
 * Normal probability plot of studentised residuals against normal quantiles at (i - 3/8) / (n + 1/4) (Blom), with the
 * test of Shapiro and Francia. Residuals of small fits look more normal than the errors are.
 *
 * @throws {BeadbenchError} `bad-argument` with fewer than 5 rows
 * @source J. P. Royston, Statistics in Medicine 12 (1993) 181-184 for the chance
 * @example normalityPlot(fitLinear({ x: [0, 1, 2, 3, 4, 5].map((x) => [1, x]), y: [0, 1.1, 2, 2.9, 4.2, 5] }, { names: ["a", "b"] })).straightness // => 0.946146
 */
export function normalityPlot(fit: ConvergedFit): NormalityPlot {
  const n = fit.residuals.length;
  requireThat(n >= 5, `normalityPlot needs at least 5 rows, got ${n}`);
  const points = diagnoseRows(fit)
    .map(({ studentised }, row) => ({ row, residual: studentised }))
    .sort((a, b) => a.residual - b.residual)
    .map((point, i) => ({ ...point, quantile: normalQuantile((i + 1 - 0.375) / (n + 0.25)) }));
  const centre = average(points.map(({ residual }) => residual));
  let cross = 0;
  let across = 0;
  let along = 0;
  for (const { residual, quantile } of points) {
    cross += (residual - centre) * quantile;
    across += (residual - centre) ** 2;
    along += quantile ** 2;
  }
  const straightness = across === 0 ? 1 : cross ** 2 / (across * along);
  const logN = Math.log(n);
  const doubleLog = Math.log(logN);
  const mean = -1.2725 + 1.0521 * (doubleLog - logN);
  const spread = 1.0308 - 0.26758 * (doubleLog + 2 / logN);
  const p = straightness >= 1 ? 1 : 1 - normalCdf((Math.log(1 - straightness) - mean) / spread);
  return { points, straightness, p };
}
