import type { ConvergedFit } from "../../regression/index.js";
import {
  type ConstrainedCoupon,
  heightRow,
  type ResidualShape,
  whitenedRows,
  widthRow,
} from "./constrained-rows.js";

const dot = (a: readonly number[], b: readonly number[]): number => a.reduce((sum, part, j) => sum + part * b[j]!, 0);

/** Residuals ln(measured) - ln(model) of width and height, per coupon. */
export function residualPairs(
  coupons: readonly ConstrainedCoupon[],
  estimates: readonly number[],
): readonly (readonly [width: number | undefined, height: number | undefined])[] {
  return coupons.map(({ x, logArea, logWidth, logHeight }) => [
    logWidth === undefined ? undefined : logWidth - dot(widthRow(x), estimates),
    logHeight === undefined ? undefined : logHeight - logArea - dot(heightRow(x), estimates),
  ]);
}

/** Residuals of one coupon about a fit without it, in logarithms. */
export interface LeftOut {
  readonly width?: number;
  readonly height?: number;
}

/**
 * Leave-one-coupon-out residuals in closed form: with H the coupon's block of the hat matrix,
 *
 *     e_(i) = (I - H)^-1 e
 *
 * on the whitened rows, then turned back. Exact for the linear model with the residual shape held.
 */
export function leaveCouponsOut(
  coupons: readonly ConstrainedCoupon[],
  shape: ResidualShape,
  fit: ConvergedFit,
): readonly LeftOut[] {
  const scale = fit.residualSd > 0 ? 1 / fit.residualSd ** 2 : 0;
  const rows = whitenedRows(coupons, shape);
  const byCoupon = coupons.map((_, i) => rows.filter(({ coupon }) => coupon === i));
  return coupons.map((coupon, i) => {
    const block = byCoupon[i]!;
    const residuals = block.map(({ x, y }) => y - dot(x, fit.estimates));
    const hat = block.map((a) =>
      block.map((b) => {
        const product = fit.covariance.map((line) => dot(line, b.x));
        return dot(a.x, product) * scale;
      }),
    );
    return unwhiten(coupon, shape, without(hat, residuals));
  });
}

/** Solves (I - H) e = r for a block of one or two rows. */
function without(hat: readonly (readonly number[])[], residuals: readonly number[]): readonly number[] {
  if (residuals.length === 1) return [residuals[0]! / (1 - hat[0]![0]!)];
  if (residuals.length === 0) return [];
  const a = 1 - hat[0]![0]!;
  const b = -hat[0]![1]!;
  const d = 1 - hat[1]![1]!;
  const determinant = a * d - b * b;
  const [r, s] = residuals as [number, number];
  return [(d * r - b * s) / determinant, (a * s - b * r) / determinant];
}

function unwhiten(coupon: ConstrainedCoupon, shape: ResidualShape, white: readonly number[]): LeftOut {
  if (coupon.logWidth === undefined) return white[0] === undefined ? {} : { height: white[0] * shape.heightSd };
  const width = white[0]! * shape.widthSd;
  if (coupon.logHeight === undefined) return { width };
  return { width, height: white[1]! * shape.heightSdGivenWidth + shape.slope * width };
}
