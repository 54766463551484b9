import { createRequire } from "node:module";
import { requireNumber } from "../../errors/index.js";

/**
 * Quantiles and distribution functions to full double accuracy, from @stdlib (checked against R's
 * `qt`, `pf`, `qbeta` ... in `test/numeric`). @stdlib returns NaN for a caller's mistake; here it throws.
 */
const load = createRequire(import.meta.url);
type Distribution = (x: number, a: number, b?: number) => number;

/** A function of @stdlib, loaded when it is first called: most commands ask for one or two, many for none. */
function distribution(name: string): Distribution {
  let loaded: Distribution | undefined;
  return (x, a, b) => {
    loaded ??= load(`@stdlib/stats-base-dists-${name}`) as Distribution;
    return loaded(x, a, b);
  };
}

const betaCdfRaw = distribution("beta-cdf");
const betaQuantileRaw = distribution("beta-quantile");
const chiSquareCdfRaw = distribution("chisquare-cdf");
const chiSquareQuantileRaw = distribution("chisquare-quantile");
const fCdfRaw = distribution("f-cdf");
const fQuantileRaw = distribution("f-quantile");
const normalCdfRaw = distribution("normal-cdf");
const normalQuantileRaw = distribution("normal-quantile");
const tCdfRaw = distribution("t-cdf");
const tQuantileRaw = distribution("t-quantile");

let logGammaRaw: ((x: number) => number) | undefined;

const probability = (p: number): number => requireNumber("probability", p, { min: 0, max: 1 });
const degrees = (df: number): number => requireNumber("degrees of freedom", df, { above: 0 });

/** P(Z <= z) for the standard normal. */
export function normalCdf(z: number): number {
  return normalCdfRaw(z, 0, 1);
}

/**
 * z with P(Z <= z) = p for the standard normal. Newton steps on the lower tail restore the digits that the
 * package loses for small p (6 left at 1e-12).
 */
export function normalQuantile(p: number): number {
  const tail = Math.min(probability(p), 1 - p);
  let z = normalQuantileRaw(tail, 0, 1);
  if (tail > 0 && tail < 0.01) {
    for (let i = 0; i < 2; i++) z -= (normalCdf(z) - tail) / normalPdf(z);
  }
  return p > 0.5 ? -z : z;
}

/** Density of the standard normal. */
export function normalPdf(z: number): number {
  return Math.exp(-0.5 * z * z) / Math.sqrt(2 * Math.PI);
}

/** P(T <= t) for Student's t; `df` may be fractional or Infinity (normal). */
export function tCdf(t: number, df: number): number {
  return df === Number.POSITIVE_INFINITY ? normalCdf(t) : tCdfRaw(t, degrees(df));
}

/** t with P(T <= t) = p for Student's t; `df` may be fractional or Infinity (normal). */
export function tQuantile(p: number, df: number): number {
  return df === Number.POSITIVE_INFINITY ? normalQuantile(p) : tQuantileRaw(probability(p), degrees(df));
}

/** P(F <= x) for the F distribution. */
export function fCdf(x: number, df1: number, df2: number): number {
  return fCdfRaw(x, degrees(df1), degrees(df2));
}

/** x with P(F <= x) = p for the F distribution. */
export function fQuantile(p: number, df1: number, df2: number): number {
  return fQuantileRaw(probability(p), degrees(df1), degrees(df2));
}

/**
 * P(X <= x) for chi-square.
 *
 * @example chiSquareCdf(3.841458821, 1) // => 0.95
 */
export function chiSquareCdf(x: number, df: number): number {
  return chiSquareCdfRaw(x, degrees(df));
}

/** x with P(X <= x) = p for chi-square. */
export function chiSquareQuantile(p: number, df: number): number {
  return chiSquareQuantileRaw(probability(p), degrees(df));
}

/** P(X <= x) for the beta distribution (the regularised incomplete beta function). */
export function betaCdf(x: number, a: number, b: number): number {
  return betaCdfRaw(x, a, b);
}

/** x with P(X <= x) = p for the beta distribution. */
export function betaQuantile(p: number, a: number, b: number): number {
  return betaQuantileRaw(probability(p), a, b);
}

/** Natural logarithm of the gamma function. */
export function logGamma(x: number): number {
  logGammaRaw ??= load("@stdlib/math-base-special-gammaln") as (x: number) => number;
  return logGammaRaw(x);
}
