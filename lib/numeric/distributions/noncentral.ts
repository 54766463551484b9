import { BeadbenchError, requireNumber } from "../../errors/index.js";
import { findRoot } from "../roots/index.js";
import { betaCdf, fCdf, fQuantile, normalCdf, normalQuantile, tCdf } from "./distributions.js";
import { logGamma } from "./log-gamma.js";

/**
 * Noncentral t and F, for the power of tests. Sums of positive terms throughout, so small
 * probabilities keep their digits.
 */

/** Logarithm of a weight below which a term cannot change the sum (1e-35 of the largest). */
const NEGLIGIBLE = 80;
/** u - (exp(2u) - 1) / 2 for small u, where the difference would be rounding. */
const bendNearTop = (u: number): number => -u * u * (1 + u * (2 / 3 + u * (1 / 3 + (u * 2) / 15)));

/** Degrees of freedom from which s is 1 to the last digit that tells. */
const AS_GOOD_AS_NORMAL = 1e20;
/** Largest noncentralities; the time taken grows with them, and all usual powers are 1 long before. */
const MOST_NONCENTRAL = { t: 300, f: 9e4 };
/** Below this logarithm of s the density is a plain exponential to the last digit. */
const EXPONENTIAL_BELOW = -20;
/** Poisson weights are summed at no more than this many places to a standard deviation. */
const PLACES = 16;

/**
 * P(T <= t) for T = (Z + noncentrality) / sqrt(chi2_df / df), Z standard normal.
 *
 *     P = integral of Phi(t s - noncentrality) f(s) ds,   s^2 = chi2_df / df
 *
 * by the trapezium rule in ln s, which converges faster than any power of the step for this integrand.
 *
 * @param df - above 0, may be fractional or Infinity (normal)
 * @param noncentrality - from -300 to 300
 * @throws {BeadbenchError} `bad-argument` for df <= 0 or a noncentrality out of its range
 * @example noncentralTCdf(2, 10, 1) // => 0.8076
 * @source held to R's pt(t, df, ncp)
 */
export function noncentralTCdf(t: number, df: number, noncentrality: number): number {
  requireNumber("noncentrality", noncentrality, { min: -MOST_NONCENTRAL.t, max: MOST_NONCENTRAL.t });
  if (df >= AS_GOOD_AS_NORMAL) return normalCdf(t - noncentrality);
  requireNumber("degrees of freedom", df, { above: 0 });
  if (!Number.isFinite(t)) return t > 0 ? 1 : t < 0 ? 0 : Number.NaN;
  if (noncentrality === 0) return tCdf(t, df);
  // In u = ln s the log density is df (u - (exp(2u) - 1) / 2) up to a constant; its top, 0, is at u = 0.
  const logDensity = (u: number): number =>
    df * (Math.abs(u) < 1e-3 ? bendNearTop(u) : u - 0.5 * Math.expm1(2 * u));
  const spread = 1 / Math.sqrt(2 * df);
  const step = Math.min(spread / 3, 0.1, 0.3 / (1 + Math.abs(noncentrality)));
  let weights = 0;
  let sum = 0;
  const add = (u: number): boolean => {
    const log = logDensity(u);
    const weight = Math.exp(log);
    weights += weight;
    sum += weight * normalCdf(t * Math.exp(u) - noncentrality);
    return log > -NEGLIGIBLE;
  };
  for (let k = 0; add(k * step); k++);
  // Where t s is lost beside the noncentrality and the density is exponential, the rest is a geometric series.
  const faded = Math.log((1e-17 * (1 + Math.abs(noncentrality))) / Math.max(Math.abs(t), Number.MIN_VALUE));
  const end = Math.min(EXPONENTIAL_BELOW, faded);
  let u = -step;
  for (; u > end && add(u); u -= step);
  if (u <= end) {
    const rest = Math.exp(logDensity(u)) / -Math.expm1(-df * step);
    weights += rest;
    sum += rest * normalCdf(-noncentrality);
  }
  return sum / weights;
}

/**
 * P(F <= x) for F = (noncentral chi2_df1(noncentrality) / df1) / (chi2_df2 / df2): a Poisson mixture of
 * beta distributions, summed outwards from its largest weight.
 *
 * @param noncentrality - sum of squared standardised effects, from 0 to 90 000
 * @throws {BeadbenchError} `bad-argument` for degrees of freedom <= 0 or a noncentrality out of its range
 * @example noncentralFCdf({ x: 4, df1: 2, df2: 12, noncentrality: 6 }) // => 0.5396
 * @source held to R's pf(x, df1, df2, ncp)
 */
export function noncentralFCdf({
  x,
  df1,
  df2,
  noncentrality,
}: {
  readonly x: number;
  readonly df1: number;
  readonly df2: number;
  readonly noncentrality: number;
}): number {
  requireNumber("noncentrality", noncentrality, { min: 0, max: MOST_NONCENTRAL.f });
  requireNumber("degrees of freedom", df1, { above: 0 });
  requireNumber("degrees of freedom", df2, { above: 0 });
  if (noncentrality === 0) return x <= 0 ? 0 : fCdf(x, df1, df2);
  if (x <= 0) return 0;
  if (x === Number.POSITIVE_INFINITY) return 1;
  const rate = noncentrality / 2;
  const share = 1 / (1 + df2 / (df1 * x));
  const top = Math.floor(rate);
  const logTop = top * Math.log(rate) - rate - logGamma(top + 1);
  let weights = 0;
  let sum = 0;
  const add = (j: number): boolean => {
    const log = j * Math.log(rate) - rate - logGamma(j + 1) - logTop;
    const weight = Math.exp(log);
    weights += weight;
    sum += weight * betaCdf(share, df1 / 2 + j, df2 / 2);
    return log > -NEGLIGIBLE;
  };
  const stride = Math.max(1, Math.floor(Math.sqrt(rate) / PLACES));
  for (let j = top; add(j); j += stride);
  for (let j = top - stride; j >= 0 && add(j); j -= stride);
  return sum / weights;
}

/** Doublings of the reach after which a quantile is out of range. */
const MOST_DOUBLINGS = 60;

/**
 * Solves cdf(x) = p from a first guess by doubling outwards, then Brent.
 *
 * @throws {BeadbenchError} `infeasible` where the probability is met nowhere near
 */
function invert({
  cdf,
  p,
  guess,
  reach,
  floor,
}: {
  readonly cdf: (x: number) => number;
  readonly p: number;
  readonly guess: number;
  readonly reach: number;
  readonly floor: number;
}): number {
  let lower = Math.max(floor, guess - reach);
  let upper = guess + reach;
  let grow = reach;
  for (let k = 0; k < MOST_DOUBLINGS && lower > floor && cdf(lower) > p; k++, grow *= 2) {
    lower = Math.max(floor, lower - grow);
  }
  grow = reach;
  for (let k = 0; k < MOST_DOUBLINGS && cdf(upper) < p; k++, grow *= 2) upper += grow;
  if (!(cdf(lower) <= p && cdf(upper) >= p)) {
    throw new BeadbenchError("infeasible", `the quantile of probability ${p} is beyond what can be computed`);
  }
  return findRoot({ f: (x) => cdf(x) - p, lower, upper }).x;
}

/**
 * t with P(T <= t) = p for the noncentral t; see {@link noncentralTCdf}.
 *
 * @throws {BeadbenchError} `bad-argument` unless 0 < p < 1
 * @example noncentralTQuantile(0.9, 10, 1) // => 2.52608
 */
export function noncentralTQuantile(p: number, df: number, noncentrality: number): number {
  requireNumber("probability", p, { above: 0, below: 1 });
  const spread = Math.sqrt(1 + (noncentrality * noncentrality) / (2 * df));
  const guess = noncentrality + spread * normalQuantile(p);
  return invert({
    cdf: (t) => noncentralTCdf(t, df, noncentrality),
    p,
    guess,
    reach: spread,
    floor: Number.NEGATIVE_INFINITY,
  });
}

/**
 * x with P(F <= x) = p for the noncentral F; see {@link noncentralFCdf}.
 *
 * @throws {BeadbenchError} `bad-argument` unless 0 < p < 1
 * @example noncentralFQuantile({ p: 0.9, df1: 3, df2: 20, noncentrality: 2 }) // => 3.85274
 */
export function noncentralFQuantile({
  p,
  df1,
  df2,
  noncentrality,
}: {
  readonly p: number;
  readonly df1: number;
  readonly df2: number;
  readonly noncentrality: number;
}): number {
  requireNumber("probability", p, { above: 0, below: 1 });
  const guess = fQuantile(p, df1, df2) * (1 + noncentrality / df1);
  return invert({
    cdf: (x) => noncentralFCdf({ x, df1, df2, noncentrality }),
    p,
    guess,
    reach: 0.5 * guess,
    floor: 0,
  });
}
