import { createRequire } from "node:module";
import { requireNumber } from "../../errors/index.js";
import { incompleteBeta, incompleteBetaLogit } from "./incomplete-beta.js";
import { incompleteGamma, incompleteGammaQuantile } from "./incomplete-gamma.js";

/**
 * Quantiles and distribution functions to full double accuracy (checked against R's `qt`, `pf`, `qbeta` ... in
 * `test/numeric`). Normal and t are from @stdlib, which returns NaN for a caller's mistake; here it throws. Its beta, F
 * and chi-square are not used: chi-square is wrong by up to 18 % from 2000 degrees of freedom on, beta from shapes of 1e8.
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

const normalCdfRaw = distribution("normal-cdf");
const normalQuantileRaw = distribution("normal-quantile");
const tCdfRaw = distribution("t-cdf");
const tQuantileRaw = distribution("t-quantile");

/** Degrees of freedom from which a t is a normal but for one term. */
const NEARLY_NORMAL = 1e8;

const probability = (p: number): number => requireNumber("probability", p, { min: 0, max: 1 });
const degrees = (df: number): number => requireNumber("degrees of freedom", df, { above: 0 });
const shape = (a: number): number => requireNumber("shape of a beta distribution", a, { above: 0 });

/**
 * P(Z <= z) for the standard normal; NaN for NaN.
 *
 * @example normalCdf(1.959963985) // => 0.975
 */
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

/**
 * Density of the standard normal, exp(-z^2 / 2) / sqrt(2 pi).
 *
 * @example normalPdf(0) // => 0.39894
 */
export function normalPdf(z: number): number {
  return Math.exp(-0.5 * z * z) / Math.sqrt(2 * Math.PI);
}

/**
 * P(T <= t) for Student's t.
 *
 * @param df - degrees of freedom, above 0; may be fractional, or Infinity for the normal
 * @throws {BeadbenchError} `bad-argument` for degrees of freedom that are not above 0
 * @example tCdf(2.228138852, 10) // => 0.975
 */
export function tCdf(t: number, df: number): number {
  return df === Number.POSITIVE_INFINITY ? normalCdf(t) : tCdfRaw(t, degrees(df));
}

/**
 * t with P(T <= t) = p for Student's t; -Infinity and Infinity for p of 0 and 1.
 *
 * @param df - degrees of freedom, above 0; may be fractional, or Infinity for the normal
 * @throws {BeadbenchError} `bad-argument` for a probability outside 0 to 1 or degrees of freedom not above 0
 * @example tQuantile(0.975, 10) // => 2.22814
 */
export function tQuantile(p: number, df: number): number {
  if (df < NEARLY_NORMAL || Number.isNaN(df)) return tQuantileRaw(probability(p), degrees(df));
  const z = normalQuantile(p);
  // First term of Cornish and Fisher's series; the next is below rounding. The package's search ends too soon here.
  return Number.isFinite(z) ? z + (z * z * z + z) / (4 * df) : z;
}

/**
 * P(F <= x) for the F distribution with `df1` over `df2` degrees of freedom, which may be fractional.
 *
 * @throws {BeadbenchError} `bad-argument` for degrees of freedom that are not above 0
 * @example fCdf(4.964602744, 1, 10) // => 0.95
 */
export function fCdf(x: number, df1: number, df2: number): number {
  const odds = (degrees(df1) / degrees(df2)) * x;
  return incompleteBeta({ x: 1 / (1 + 1 / odds), y: 1 / (1 + odds) }, df1 / 2, df2 / 2);
}

/**
 * x with P(F <= x) = p for the F distribution with `df1` over `df2` degrees of freedom.
 *
 * @throws {BeadbenchError} `bad-argument` for a probability outside 0 to 1 or degrees of freedom not above 0
 * @example fQuantile(0.95, 1, 10) // => 4.9646
 */
export function fQuantile(p: number, df1: number, df2: number): number {
  const ratio = degrees(df2) / degrees(df1);
  if (probability(p) === 0 || p === 1) return p === 0 ? 0 : Number.POSITIVE_INFINITY;
  return ratio * Math.exp(incompleteBetaLogit(p, df1 / 2, df2 / 2));
}

/**
 * P(X <= x) for chi-square.
 *
 * @example chiSquareCdf(3.841458821, 1) // => 0.95
 */
export function chiSquareCdf(x: number, df: number): number {
  return incompleteGamma(x / 2, degrees(df) / 2);
}

/**
 * x with P(X <= x) = p for chi-square.
 *
 * @throws {BeadbenchError} `bad-argument` for a probability outside 0 to 1 or degrees of freedom not above 0
 * @example chiSquareQuantile(0.95, 1) // => 3.84146
 */
export function chiSquareQuantile(p: number, df: number): number {
  const a = degrees(df) / 2;
  if (probability(p) === 0 || p === 1) return p === 0 ? 0 : Number.POSITIVE_INFINITY;
  return 2 * incompleteGammaQuantile(p, a);
}

/**
 * P(X <= x) for the beta distribution of shapes a and b: the regularised incomplete beta function.
 *
 * @throws {BeadbenchError} `bad-argument` for a shape that is not above 0
 * @example betaCdf(0.5, 2, 3) // => 0.6875
 */
export function betaCdf(x: number, a: number, b: number): number {
  return incompleteBeta({ x, y: 1 - x }, shape(a), shape(b));
}

/**
 * x with P(X <= x) = p for the beta distribution of shapes a and b.
 *
 * @throws {BeadbenchError} `bad-argument` for a probability outside 0 to 1 or a shape that is not above 0
 * @example betaQuantile(0.6875, 2, 3) // => 0.5
 */
export function betaQuantile(p: number, a: number, b: number): number {
  shape(a);
  shape(b);
  if (probability(p) === 0 || p === 1) return p;
  return 1 / (1 + Math.exp(-incompleteBetaLogit(p, a, b)));
}
