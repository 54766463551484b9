import { logGamma } from "./log-gamma.js";

/**
 * ln Gamma(z) less Stirling's formula: the small rest that decides the last digits of a density of large shapes.
 *
 * @source Loader, "Fast and accurate computation of binomial probabilities" (2000)
 */
export function stirlingRest(z: number): number {
  if (z < 16) return logGamma(z) - (z - 0.5) * Math.log(z) + z - 0.5 * Math.log(2 * Math.PI);
  const s = 1 / (z * z);
  return (1 / 12 - s * (1 / 360 - s * (1 / 1260 - s * (1 / 1680 - s * (1 / 1188 - (s * 691) / 360360))))) / z;
}

/**
 * k ln(k/m) + m - k without the cancellation where m is near k.
 *
 * @param gap - k - m, as exactly as the caller has it
 * @source Loader (2000), the deviance of a Poisson count
 */
export function deviance(k: number, m: number, gap: number): number {
  const v = gap / (k + m);
  if (Math.abs(v) > 0.1) return k * Math.log(k / m) - gap;
  let sum = gap * v;
  let power = 2 * k * v;
  for (let j = 3; ; j += 2) {
    power *= v * v;
    const next = sum + power / j;
    if (next === sum || !Number.isFinite(next)) return next;
    sum = next;
  }
}

/** Steps of the quadrature: halving them changes no digit. */
const STEP = 0.125;
const NEGLIGIBLE = 1e-18;

/**
 * Integral of exp(logRatio(u)) over u from 0 up, for a concave logRatio that starts at 0 and falls.
 *
 * @param slope - -logRatio'(0), at least 0
 * @param bend - -logRatio''(0), above 0
 * @source double exponential quadrature: Takahasi and Mori, Publ. RIMS 9 (1974) 721, u = exp(t - exp(-t))
 */
export function tailIntegral(logRatio: (u: number) => number, slope: number, bend: number): number {
  const scale = 2 / (slope + Math.sqrt(slope * slope + 2 * bend));
  let sum = 0;
  const add = (t: number): boolean => {
    const fall = Math.exp(-t);
    const u = scale * Math.exp(t - fall);
    const term = u * (1 + fall) * Math.exp(logRatio(u));
    sum += term;
    return term > NEGLIGIBLE * sum;
  };
  for (let k = 0; add(k * STEP); k++);
  for (let k = -1; add(k * STEP); k--);
  return STEP * sum;
}

/** Newton steps at most: ten or fewer as a rule. */
const MOST_STEPS = 200;
/** Miss in ln p after which the step about to be taken is the last: it squares what is left. */
const NEAR = 1e-8;

/**
 * Solves logTail(w) = logShare, for the tail of a distribution whose density over w is log-concave: there the log of a
 * tail is concave, and Newton's method comes home from anywhere.
 *
 * @param tail - log of the tail that shrinks towards -Infinity, and of the density, at w
 * @param longest - longest step down, for tails that fall faster than exponentially
 */
export function solveTail({
  tail,
  start,
  logShare,
  longest = Number.POSITIVE_INFINITY,
}: {
  readonly tail: (w: number) => { readonly logTail: number; readonly logDensity: number };
  readonly start: number;
  readonly logShare: number;
  readonly longest?: number;
}): number {
  let w = start;
  for (let i = 0; i < MOST_STEPS; i++) {
    const { logTail, logDensity } = tail(w);
    const miss = logTail - logShare;
    const next = w - Math.min(longest, miss * Math.exp(logTail - logDensity));
    if (Math.abs(miss) < NEAR || next === w) return next;
    w = next;
  }
  return w;
}
