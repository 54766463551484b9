import { requireNumber } from "../../errors/index.js";
import { tQuantile } from "../../numeric/distributions/index.js";
import type { ConvergedFit, Interval } from "./types.js";

/** Two-sided quantile of Student's t for a level such as 0.95. */
export function tFactor(level: number, df: number): number {
  requireNumber("level", level, { above: 0, below: 1 });
  return tQuantile(0.5 + level / 2, df);
}

/**
 * Symmetric intervals estimate +- t(df) x standard error, one per parameter that is neither at a bound nor aliased.
 *
 * Exact for linear models; for curved ones they mislead: use {@link parameterIntervals}, which takes these or the
 * profile, whichever is right.
 */
export function tIntervals(fit: ConvergedFit, options: { readonly level?: number } = {}): Interval[] {
  const level = options.level ?? 0.95;
  const factor = tFactor(level, fit.df);
  return fit.parameters.flatMap((name, j) => {
    const estimate = fit.estimates[j]!;
    const half = factor * fit.standardErrors[j]!;
    return half === 0 ? [] : [{ name, estimate, lower: estimate - half, upper: estimate + half, level }];
  });
}
