import { requireThat } from "../errors/index.js";
import { counted, inWords, normalQuantile, quantile, sentence } from "../numeric/index.js";
import {
  axisTitle,
  type ChartQuantity,
  type ChartSpec,
  chart,
  inline,
  measure,
  requireRows,
} from "./spec.js";
import { colours } from "./theme.js";
import { thinned } from "./thinned.js";

/** Residuals at either end, which say most and are all drawn. */
const ENDS = 25;

/** What {@link chartNormalQuantiles} draws. */
export interface NormalQuantileChartData {
  readonly response: ChartQuantity;
  readonly residuals: readonly { readonly coupon: string; readonly residual: number }[];
}

/**
 * Sorted residuals against the values expected of a normal sample of the same size, with a line through
 * the quartiles. Points that leave the line at the ends mean longer tails than the intervals assume; one
 * point far off is a coupon to look at.
 *
 * Expected values are normal quantiles at (i - a)/(n + 1 - 2a), a = 3/8 up to ten residuals (Blom 1958)
 * and 1/2 above.
 *
 * Below about 15 residuals even normal samples look crooked.
 *
 * @throws {BeadbenchError} `bad-argument` with fewer than 3 residuals or a number that is not finite
 */
export function chartNormalQuantiles(data: NormalQuantileChartData): ChartSpec {
  const { response, residuals } = data;
  requireThat(
    residuals.length >= 3,
    `chartNormalQuantiles: needs at least 3 residuals, got ${residuals.length}`,
  );
  const points = normalScores(residuals);
  const { drawn, said } = thinned(points, {
    row: "residual",
    notable: (_, i) => i < ENDS || i >= points.length - ENDS,
  });
  requireRows("chartNormalQuantiles", "residuals", points);
  const values = inline("chartNormalQuantiles", "residuals", drawn);
  const x = measure("expected", "Expected of a normal sample (standard deviations)");
  const y = measure("residual", `Residual: ${axisTitle(response).toLowerCase()}`);
  return chart({
    description: `Normal quantile plot of ${counted(points.length, "residual")} of ${inWords(response.name)}, with the line through the quartiles.`,
    title: `${sentence(inWords(response.name))}: are the residuals normal?`,
    subtitle: ["Line: through the quartiles. Points near it: yes.", ...said],
    body: {
      width: 380,
      height: 300,
      layer: [
        {
          data: { values: quartileLine(points) },
          mark: { type: "line", color: colours.muted.light, strokeWidth: 1.2, strokeDash: [5, 4] },
          encoding: { x, y },
        },
        { data: values, mark: { type: "point", color: colours.measured.light }, encoding: { x, y } },
      ],
    },
  });
}

interface Score {
  readonly coupon: string;
  readonly residual: number;
  readonly expected: number;
}

function normalScores(residuals: NormalQuantileChartData["residuals"]): readonly Score[] {
  const n = residuals.length;
  const a = n <= 10 ? 3 / 8 : 1 / 2;
  return [...residuals]
    .sort((p, q) => p.residual - q.residual)
    .map((row, i) => ({ ...row, expected: normalQuantile((i + 1 - a) / (n + 1 - 2 * a)) }));
}

/** The line through the quartiles of both axes, drawn over the range of the points. */
function quartileLine(points: readonly Score[]) {
  const sorted = points.map((point) => point.residual);
  const [low, high] = [quantile(sorted, 0.25), quantile(sorted, 0.75)];
  const slope = (high - low) / (normalQuantile(0.75) - normalQuantile(0.25));
  return [points[0]!, points.at(-1)!].map(({ expected }) => ({
    expected,
    residual: (low + high) / 2 + slope * expected,
  }));
}
