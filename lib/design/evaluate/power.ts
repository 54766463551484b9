import { choleskyInPlace, fQuantile, noncentralFCdf, solveLower } from "../../numeric/index.js";
import type { TermGroup } from "../model/index.js";

/** Part of a covariance that belongs to a term, and its factor. */
interface TermCovariance {
  readonly size: number;
  readonly values: Float64Array;
  readonly factor: Float64Array;
}

function termCovariance(covariance: Float64Array, p: number, places: readonly number[]): TermCovariance {
  const size = places.length;
  const values = new Float64Array(size * size);
  for (const [i, row] of places.entries()) {
    for (const [j, column] of places.entries()) values[i * size + j] = covariance[row * p + column]!;
  }
  const factor = Float64Array.from(values);
  choleskyInPlace(factor, size);
  return { size, values, factor };
}

/** Variance of g'b for coefficients b of the term. */
function varianceOf({ size, values }: TermCovariance, g: readonly number[]): number {
  let sum = 0;
  for (let i = 0; i < size; i++) for (let j = 0; j < size; j++) sum += g[i]! * values[i * size + j]! * g[j]!;
  return sum;
}

/** Power rises with the noncentrality; at this one it is 1 for every level in use. */
const LARGEST = 1e4;

/**
 * Chance that the F test of a term (for one column: the two-sided t test) detects a change in the response.
 *
 *     power = 1 - F(f; m, df, lambda),   lambda = b' C^-1 b / sd^2,   f = quantile of F(m, df) at `level`
 *
 * with b the coefficients of the change and C the term's covariance in units of sd^2. For a category the
 * least favourable pair of levels counts.
 *
 * @param places - the term's columns in the covariance
 * @source Cohen, Statistical Power Analysis (1988), chapter 8; held to R's power.t.test and power.anova.test
 */
export function termPower({
  group,
  covariance,
  p,
  places,
  error,
}: {
  readonly group: TermGroup;
  readonly covariance: Float64Array;
  readonly p: number;
  readonly places: readonly number[];
  readonly error: {
    readonly change: number;
    readonly sd: number;
    readonly level: number;
    readonly degreesOfFreedom: number;
  };
}): number {
  const own = termCovariance(covariance, p, places);
  const lambda = Math.min(
    ...group.effects.map(({ pattern }) => {
      const b = Float64Array.from(pattern, (x) => (x * error.change) / (2 * error.sd));
      solveLower(own.factor, own.size, b);
      return b.reduce((sum, x) => sum + x * x, 0);
    }),
  );
  const critical = fQuantile(error.level, own.size, error.degreesOfFreedom);
  return (
    1 -
    noncentralFCdf({
      x: critical,
      df1: own.size,
      df2: error.degreesOfFreedom,
      noncentrality: Math.min(lambda, LARGEST),
    })
  );
}

/** Largest standard error of the term's effects, in units of sd; see {@link TermEvaluation}. */
export function effectError({
  group,
  covariance,
  p,
  places,
}: {
  readonly group: TermGroup;
  readonly covariance: Float64Array;
  readonly p: number;
  readonly places: readonly number[];
}): number {
  const own = termCovariance(covariance, p, places);
  if (group.effects.length === 0) return Math.sqrt(own.values[0]!);
  return Math.sqrt(Math.max(...group.effects.map(({ contrast }) => varianceOf(own, contrast))));
}
