import { deviance, solveTail, stirlingRest, tailIntegral } from "./tails.js";

/** From this shape on the tail is integrated: series and continued fraction take ever more terms, about its root. */
const LARGE = 3000;
const MOST_TERMS = 5000;
/** ln x below which a tail is a pure power to the last digit. */
const POWER_BELOW = -650;

interface GammaTail {
  readonly side: "lower" | "upper";
  readonly log: number;
  /** Density over ln x: x^a exp(-x) / Gamma(a). */
  readonly logDensity: number;
}

/**
 * The tail of the regularised incomplete gamma function that lies away from the mean; accuracy as of the beta's.
 *
 * @source Press et al., Numerical Recipes, 3rd ed. (2007), section 6.2 (series, continued fraction); Loader (2000)
 */
function gammaTail(x: number, a: number): GammaTail {
  const gap = a - x;
  const logDensity = 0.5 * Math.log(a / (2 * Math.PI)) - stirlingRest(a) - deviance(a, x, gap);
  if (a >= LARGE) {
    const sign = gap >= 0 ? -1 : 1;
    const rest = tailIntegral((u) => sign * a * u - x * Math.expm1(sign * u), Math.abs(gap), x);
    return { side: gap >= 0 ? "lower" : "upper", log: Math.min(0, logDensity + Math.log(rest)), logDensity };
  }
  return x < a + 1
    ? { side: "lower", log: Math.min(0, logDensity + Math.log(gammaSeries(x, a))), logDensity }
    : { side: "upper", log: Math.min(0, logDensity + Math.log(gammaFraction(x, a))), logDensity };
}

function gammaSeries(x: number, a: number): number {
  let term = 1 / a;
  let sum = term;
  for (let k = 1; k <= MOST_TERMS && term > 1e-17 * sum; k++) {
    term *= x / (a + k);
    sum += term;
  }
  return sum;
}

/** Lentz's evaluation of the continued fraction. */
function gammaFraction(x: number, a: number): number {
  let b = x + 1 - a;
  let c = Number.POSITIVE_INFINITY;
  let d = 1 / b;
  let h = d;
  for (let k = 1; k <= MOST_TERMS; k++) {
    const step = -k * (k - a);
    b += 2;
    d = 1 / (step * d + b);
    c = b + step / c;
    h *= d * c;
    if (Math.abs(d * c - 1) < 1e-16) break;
  }
  return h;
}

/** P(a, x) for a shape above 0. */
export function incompleteGamma(x: number, a: number): number {
  if (!(x > 0)) return Number.isNaN(x) ? x : 0;
  if (x === Number.POSITIVE_INFINITY) return 1;
  const { side, log } = gammaTail(x, a);
  return side === "lower" ? Math.exp(log) : -Math.expm1(log);
}

/** x with P(a, x) = p, for p above 0 and below 1. */
export function incompleteGammaQuantile(p: number, a: number): number {
  const wanted = p > 0.5 ? "upper" : "lower";
  const sign = wanted === "lower" ? 1 : -1;
  const w = solveTail({
    start: sign * Math.log(a),
    logShare: wanted === "lower" ? Math.log(p) : Math.log1p(-p),
    longest: wanted === "lower" ? Number.POSITIVE_INFINITY : 1,
    tail: (v) => {
      const at = Math.max(POWER_BELOW, sign * v);
      const { side, log, logDensity } = gammaTail(Math.exp(at), a);
      const beyond = a * Math.min(0, sign * v - at);
      return {
        logTail: side === wanted ? log + beyond : Math.log1p(-Math.exp(log + beyond)),
        logDensity: logDensity + beyond,
      };
    },
  });
  return Math.exp(sign * w);
}
