import { BeadbenchError, requireThat } from "../../errors/index.js";

/** Where a scalar search ended. */
export interface ScalarResult {
  readonly x: number;
  /** Value of the function at x. */
  readonly value: number;
  readonly evaluations: number;
  readonly converged: boolean;
}

const EPSILON = Number.EPSILON;
const MAX_ITERATIONS = 200;

/**
 * A root of `f` between two points where it has opposite signs: inverse quadratic and secant steps,
 * guarded by bisection.
 *
 * @throws {BeadbenchError} `bad-argument` when f has the same sign at both ends
 * @example findRoot({ f: (x) => x * x - 2, lower: 0, upper: 2 }).x // => 1.414213562373
 * @source R. P. Brent, Algorithms for Minimization without Derivatives (1973), chapter 4
 */
export function findRoot({
  f,
  lower,
  upper,
  tolerance = 0,
}: {
  readonly f: (x: number) => number;
  readonly lower: number;
  readonly upper: number;
  /** Absolute, on x; 4 eps |x| is always added. */
  readonly tolerance?: number;
}): ScalarResult {
  let a = lower;
  let b = upper;
  let fa = f(a);
  let fb = f(b);
  requireThat(
    fa * fb <= 0,
    `findRoot: the function must change sign between ${lower} (${fa}) and ${upper} (${fb})`,
  );
  let evaluations = 2;
  let c = a;
  let fc = fa;
  let step = b - a;
  let previous = step;
  while (evaluations < MAX_ITERATIONS) {
    if (Math.abs(fc) < Math.abs(fb)) {
      [a, b, c] = [b, c, b];
      [fa, fb, fc] = [fb, fc, fb];
    }
    const tol = 2 * EPSILON * Math.abs(b) + 0.5 * tolerance;
    const half = 0.5 * (c - b);
    if (Math.abs(half) <= tol || fb === 0) return { x: b, value: fb, evaluations, converged: true };
    if (Math.abs(previous) < tol || Math.abs(fa) <= Math.abs(fb)) {
      step = half;
      previous = half;
    } else {
      const s = fb / fa;
      let p: number;
      let q: number;
      if (a === c) {
        p = 2 * half * s;
        q = 1 - s;
      } else {
        const t = fa / fc;
        const r = fb / fc;
        p = s * (2 * half * t * (t - r) - (b - a) * (r - 1));
        q = (t - 1) * (r - 1) * (s - 1);
      }
      if (p > 0) q = -q;
      else p = -p;
      if (2 * p < Math.min(3 * half * q - Math.abs(tol * q), Math.abs(previous * q))) {
        previous = step;
        step = p / q;
      } else {
        step = half;
        previous = half;
      }
    }
    a = b;
    fa = fb;
    b += Math.abs(step) > tol ? step : half > 0 ? tol : -tol;
    fb = f(b);
    evaluations++;
    if (fb > 0 === fc > 0) {
      c = a;
      fc = fa;
      step = b - a;
      previous = step;
    }
  }
  return { x: b, value: fb, evaluations, converged: false };
}

/** From 1 to the smallest or largest number by halving or doubling, and to spare. */
const MOST_SCALINGS = 1100;

/**
 * The first of x, x factor, x factor^2 ... at which a test holds: an end of a bracket for {@link findRoot}.
 *
 * `what` names the quantity in the error; `factor` is positive and not 1.
 *
 * @throws {BeadbenchError} `infeasible` where the test holds at none of them that can be written as a number
 * @example scaleUntil({ what: "x", x: 1, factor: 2, holds: (x) => x * x > 50 }) // => 8
 */
export function scaleUntil({
  what,
  x,
  factor,
  holds,
}: {
  readonly what: string;
  readonly x: number;
  readonly factor: number;
  readonly holds: (x: number) => boolean;
}): number {
  let scaled = x;
  for (let k = 0; k < MOST_SCALINGS && scaled !== 0 && Number.isFinite(scaled); k++, scaled *= factor) {
    if (holds(scaled)) return scaled;
  }
  throw new BeadbenchError("infeasible", `no ${what} answers to these values; check their units`);
}

const GOLDEN = 0.5 * (3 - Math.sqrt(5));

/**
 * A local minimum of `f` on [lower, upper]: golden section with parabolic steps.
 *
 * A minimum cannot be located better than about sqrt(eps) of |x|; of several minima it finds one.
 *
 * @throws {BeadbenchError} `bad-argument` unless lower < upper
 * @example minimiseScalar({ f: (x) => x * Math.log(x), lower: 0.01, upper: 4 }).x // => 0.36788
 * @source R. P. Brent, Algorithms for Minimization without Derivatives (1973), chapter 5
 */
export function minimiseScalar({
  f,
  lower,
  upper,
  tolerance = 1.5e-8,
}: {
  readonly f: (x: number) => number;
  readonly lower: number;
  readonly upper: number;
  /** Relative, on x; default 1.5e-8. */
  readonly tolerance?: number;
}): ScalarResult {
  requireThat(lower < upper, `minimiseScalar: lower must be below upper, got ${lower} and ${upper}`);
  let a = lower;
  let b = upper;
  let x = a + GOLDEN * (b - a);
  let w = x;
  let v = x;
  let fx = f(x);
  let fw = fx;
  let fv = fx;
  let step = 0;
  let previous = 0;
  let evaluations = 1;
  while (evaluations < MAX_ITERATIONS) {
    const middle = 0.5 * (a + b);
    const tol = tolerance * Math.abs(x) + 1e-12;
    if (Math.abs(x - middle) <= 2 * tol - 0.5 * (b - a)) {
      return { x, value: fx, evaluations, converged: true };
    }
    let golden = true;
    if (Math.abs(previous) > tol) {
      const r = (x - w) * (fx - fv);
      let q = (x - v) * (fx - fw);
      let p = (x - v) * q - (x - w) * r;
      q = 2 * (q - r);
      if (q > 0) p = -p;
      else q = -q;
      if (Math.abs(p) < Math.abs(0.5 * q * previous) && p > q * (a - x) && p < q * (b - x)) {
        previous = step;
        step = p / q;
        const u = x + step;
        if (u - a < 2 * tol || b - u < 2 * tol) step = x < middle ? tol : -tol;
        golden = false;
      }
    }
    if (golden) {
      previous = x < middle ? b - x : a - x;
      step = GOLDEN * previous;
    }
    const u = x + (Math.abs(step) >= tol ? step : step > 0 ? tol : -tol);
    const fu = f(u);
    evaluations++;
    if (fu <= fx) {
      if (u < x) b = x;
      else a = x;
      [v, w, x] = [w, x, u];
      [fv, fw, fx] = [fw, fx, fu];
    } else {
      if (u < x) a = u;
      else b = u;
      if (fu <= fw || w === x) {
        [v, w] = [w, u];
        [fv, fw] = [fw, fu];
      } else if (fu <= fv || v === x || v === w) {
        v = u;
        fv = fu;
      }
    }
  }
  return { x, value: fx, evaluations, converged: false };
}
