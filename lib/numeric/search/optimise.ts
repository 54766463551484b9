import { requireThat } from "../../errors/index.js";
import { innerProduct } from "../matrices/index.js";
import { Curvature } from "./curvature.js";

export interface MinimiseOptions {
  /** Bounds per variable; -Infinity and Infinity mean none. */
  readonly lower: readonly number[];
  readonly upper: readonly number[];
  /** Stop when no component of the projected gradient exceeds this. Default 1e-7. */
  readonly gradientTolerance?: number;
  /**
   * The rounding of f, as a share of max(1, |value|): a step may seem to rise by that much, and two in a row
   * that fall by less end the search. Default 1e-14.
   */
  readonly valueTolerance?: number;
  /** Hessian near the start, n x n row by row, positive definite: saves the steps that would learn it. */
  readonly hessian?: Float64Array;
  /** Default 200. */
  readonly maxIterations?: number;
}

export interface MinimiseResult {
  readonly x: number[];
  readonly value: number;
  /** Largest component of the projected gradient at x. */
  readonly gradient: number;
  readonly iterations: number;
  readonly evaluations: number;
  readonly status: "converged" | "max-iterations" | "non-finite";
}

const ARMIJO = 1e-4;
const CURVATURE = 0.9;

/**
 * A local minimum of a smooth function in a box: limited-memory BFGS on the variables not held at a bound,
 * with a projected line search to the weak Wolfe conditions. A value that is not finite counts as a step
 * too far.
 *
 * @param f - returns the value and writes the gradient
 * @throws {BeadbenchError} `bad-argument` for bounds of the wrong length or crossed
 * @source J. Nocedal and S. J. Wright, Numerical Optimization, 2nd ed. (2006), algorithm 7.4; projection after
 *   D. P. Bertsekas, SIAM J. Control Optim. 20 (1982) 221-246
 */
export function minimiseBounded(
  f: (x: Float64Array, gradient: Float64Array) => number,
  start: readonly number[],
  options: MinimiseOptions,
): MinimiseResult {
  const { lower, upper } = options;
  const { gradientTolerance = 1e-7, valueTolerance = 1e-14, maxIterations = 200 } = options;
  const n = start.length;
  requireThat(
    lower.length === n && upper.length === n && lower.every((low, i) => low <= upper[i]!),
    `minimiseBounded: needs ${n} lower and upper bounds, lower <= upper`,
  );
  const clip = (value: number, i: number): number => Math.min(upper[i]!, Math.max(lower[i]!, value));
  let x = Float64Array.from(start, clip);
  let g = new Float64Array(n);
  let trial = new Float64Array(n);
  let trialGradient = new Float64Array(n);
  const direction = new Float64Array(n);
  const free = new Uint8Array(n);
  const curvature = new Curvature(n, options.hessian);
  let value = f(x, g);
  let evaluations = 1;

  /** Marks the free variables and returns the largest projected gradient. */
  const project = (): number => {
    let largest = 0;
    for (let i = 0; i < n; i++) {
      const held = (x[i]! <= lower[i]! && g[i]! >= 0) || (x[i]! >= upper[i]! && g[i]! <= 0);
      free[i] = held ? 0 : 1;
      largest = Math.max(largest, Math.abs(clip(x[i]! - g[i]!, i) - x[i]!));
    }
    return largest;
  };
  /** Moves to clip(x + size * direction), returns the slope along the way actually taken. */
  const move = (size: number): number => {
    let slope = 0;
    for (let i = 0; i < n; i++) {
      trial[i] = clip(x[i]! + size * direction[i]!, i);
      slope += g[i]! * (trial[i]! - x[i]!);
    }
    return slope;
  };

  const done = (status: MinimiseResult["status"], iterations: number): MinimiseResult => ({
    x: Array.from(x),
    value,
    gradient: project(),
    iterations,
    evaluations,
    status,
  });
  if (!Number.isFinite(value)) return done("non-finite", 0);

  let quiet = 0;
  for (let iteration = 0; iteration < maxIterations; iteration++) {
    if (project() <= gradientTolerance) return done("converged", iteration);
    for (let i = 0; i < n; i++) direction[i] = free[i] ? -g[i]! : 0;
    let first = curvature.empty ? Math.min(1, 1 / Math.sqrt(innerProduct(direction, direction))) : 1;
    curvature.apply(direction, free);
    if (!(innerProduct(direction, g) < 0)) {
      curvature.clear();
      for (let i = 0; i < n; i++) direction[i] = free[i] ? -g[i]! : 0;
      first = Math.min(1, 1 / Math.sqrt(innerProduct(direction, direction)));
    }
    let low = 0;
    let high = Number.POSITIVE_INFINITY;
    let size = first;
    let trialValue = value;
    const tryStep = (): number => {
      const slope = move(size);
      trialValue = f(trial, trialGradient);
      evaluations++;
      return slope;
    };
    let settled = false;
    for (let tries = 0; tries < 30 && !settled; tries++) {
      const slope = tryStep();
      if (!(trialValue <= value + ARMIJO * slope + valueTolerance * Math.max(1, Math.abs(value)))) {
        high = size;
        // The parabola through the start, its slope and this value; bisection when it says little.
        const guess = Number.isFinite(trialValue)
          ? (-0.5 * slope * size) / (trialValue - value - slope)
          : 0.1 * size;
        size = low === 0 ? Math.max(0.1 * size, Math.min(0.5 * size, guess)) : 0.5 * (low + high);
        continue;
      }
      settled = innerProduct(trialGradient, direction) >= CURVATURE * innerProduct(g, direction);
      for (let i = 0; i < n; i++) settled ||= trial[i] !== x[i]! + size * direction[i]!;
      low = size;
      if (settled) break;
      size = high === Number.POSITIVE_INFINITY ? 2 * size : 0.5 * (low + high);
    }
    // No lower value along a descent direction: the rounding of f is all that is left.
    if (low === 0) {
      const flat = project() < 1e-4 * Math.max(1, Math.abs(value));
      return done(flat ? "converged" : "max-iterations", iteration);
    }
    if (!settled) {
      size = low;
      tryStep();
    }
    for (let i = 0; i < n; i++) direction[i] = trial[i]! - x[i]!;
    const decrease = value - trialValue;
    [x, trial] = [trial, x];
    [g, trialGradient] = [trialGradient, g];
    value = trialValue;
    for (let i = 0; i < n; i++) trial[i] = g[i]! - trialGradient[i]!;
    curvature.add(direction, trial);
    quiet = decrease <= valueTolerance * Math.max(1, Math.abs(value)) ? quiet + 1 : 0;
    if (quiet >= 2) return done("converged", iteration + 1);
  }
  return done("max-iterations", maxIterations);
}
