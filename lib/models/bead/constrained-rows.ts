import type { Model } from "../../regression/index.js";

/** ln sd of width and height about the model, and how they go together on one coupon. */
export interface ResidualShape {
  readonly widthSd: number;
  readonly heightSd: number;
  /** Slope of the height residual on the width residual. */
  readonly slope: number;
  /** sd of the height residual once the width residual is known. */
  readonly heightSdGivenWidth: number;
}

/** Logarithms of one coupon; what was not measured is absent. */
export interface ConstrainedCoupon {
  readonly coupon: string;
  /** ln(setting / reference) per term. */
  readonly x: readonly number[];
  /** ln of the fed area, mm2. */
  readonly logArea: number;
  readonly logWidth?: number;
  readonly logHeight?: number;
}

/** Row whose product with (ln w0, b..., ln c) is ln width. */
export const widthRow = (x: readonly number[]): readonly number[] => [1, ...x, 0];

/** Row whose product with (ln w0, b..., ln c) is ln height - ln area, by mass balance. */
export const heightRow = (x: readonly number[]): readonly number[] => [-1, ...x.map((part) => -part), -1];

/** A regression row, its target, and the coupon it came from. */
export interface WhitenedRow {
  readonly coupon: number;
  readonly x: readonly number[];
  readonly y: number;
}

/** Turns coupons into rows of unit variance, uncorrelated when the residuals have this shape. */
export function whitenedRows(
  coupons: readonly ConstrainedCoupon[],
  shape: ResidualShape,
): readonly WhitenedRow[] {
  const scaled = (row: readonly number[], factor: number): number[] => row.map((part) => part * factor);
  return coupons.flatMap(({ x, logArea, logWidth, logHeight }, coupon) => {
    const rows: WhitenedRow[] = [];
    if (logWidth !== undefined) {
      rows.push({ coupon, x: scaled(widthRow(x), 1 / shape.widthSd), y: logWidth / shape.widthSd });
    }
    if (logHeight !== undefined) {
      const target = logHeight - logArea;
      if (logWidth === undefined) {
        rows.push({ coupon, x: scaled(heightRow(x), 1 / shape.heightSd), y: target / shape.heightSd });
      } else {
        const width = widthRow(x);
        const row = heightRow(x).map((part, j) => (part - shape.slope * width[j]!) / shape.heightSdGivenWidth);
        rows.push({ coupon, x: row, y: (target - shape.slope * logWidth) / shape.heightSdGivenWidth });
      }
    }
    return rows;
  });
}

/** The residual shape seen in pairs of (width, height) residuals, with this many degrees of freedom. */
export function residualShape(
  pairs: readonly (readonly [width: number | undefined, height: number | undefined])[],
  coefficientsPerResponse: number,
): ResidualShape {
  const moment = (of: (pair: readonly [number, number]) => number, keep: readonly (readonly [number, number])[]): number =>
    keep.reduce((sum, pair) => sum + of(pair), 0) / Math.max(1, keep.length - coefficientsPerResponse);
  const widths = pairs.flatMap(([w]) => (w === undefined ? [] : [[w, 0] as const]));
  const heights = pairs.flatMap(([, h]) => (h === undefined ? [] : [[0, h] as const]));
  const both = pairs.flatMap(([w, h]) => (w === undefined || h === undefined ? [] : [[w, h] as const]));
  const widthVar = moment(([w]) => w * w, widths);
  const heightVar = moment(([, h]) => h * h, heights);
  // Beyond 0.95 the second row would carry nearly no information of its own and rounding would rule.
  const bound = 0.95 * Math.sqrt(widthVar * heightVar);
  const covariance = Math.min(bound, Math.max(-bound, both.length < 4 ? 0 : moment(([w, h]) => w * h, both)));
  const slope = covariance / widthVar;
  return {
    widthSd: Math.sqrt(widthVar),
    heightSd: Math.sqrt(heightVar),
    slope,
    heightSdGivenWidth: Math.sqrt(heightVar - slope * covariance),
  };
}

/** The whitened joint model of width and height: linear in (ln w0, b..., ln c). */
export function constrainedModel(termNames: readonly string[]): Model {
  return {
    parameters: ["ln w0", ...termNames, "ln c"],
    predict: (theta, x) => x.reduce((sum, part, j) => sum + part * theta[j]!, 0),
    gradient: (_, x) => x,
  };
}
