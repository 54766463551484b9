import type { ConvergedFit } from "../../regression/index.js";

/** Sum of products. */
export function dot(a: readonly number[], b: readonly number[]): number {
  return a.reduce((sum, part, j) => sum + part * b[j]!, 0);
}

/** g' C g. */
export function quadraticForm(g: readonly number[], c: readonly (readonly number[])[]): number {
  return g.reduce((sum, part, j) => sum + part * dot(c[j]!, g), 0);
}

/**
 * Estimates of a linear fit without row i: theta - B x r / (1 - h), B = covariance / s^2.
 *
 * @param row - the regressors of row i, one per estimate, the constant's 1 included
 * @source D. A. Belsley, E. Kuh and R. E. Welsch, Regression Diagnostics, 1980, equation 2.1
 */
export function estimatesWithout(fit: ConvergedFit, i: number, row: readonly number[]): readonly number[] {
  const step = fit.residualSd === 0 ? 0 : fit.residuals[i]! / (1 - fit.leverage[i]!) / fit.residualSd ** 2;
  return fit.estimates.map((estimate, j) => estimate - step * dot(fit.covariance[j]!, row));
}
