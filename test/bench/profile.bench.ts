import { tQuantile } from "../../lib/numeric/index.js";
import { type ConvergedFit, fitNonlinear, profileIntervals } from "../../lib/regression/index.js";
import { type WeakProblem, weakProblems } from "../support/weak-fits.js";

/** Where the nonlinear parameters of the weak fits may lie; logarithmic for rates and half-values. */
const RANGES: Record<string, { readonly low: number; readonly high: number; readonly log: boolean }> = {
  b: { low: -6, high: 8, log: false },
  c: { low: -5, high: 5, log: false },
  k: { low: 1e-7, high: 1e4, log: true },
};
const POINTS = 61;

/** Least value over a range: a dense scan, then golden section about its best point. */
function scan(name: string, f: (value: number) => number): number {
  const { low, high, log } = RANGES[name]!;
  const at = (u: number): number => (log ? low * (high / low) ** u : low + (high - low) * u);
  let best = 0;
  let least = Number.POSITIVE_INFINITY;
  for (let k = 0; k < POINTS; k++) {
    const value = f(at(k / (POINTS - 1)));
    if (value < least) [least, best] = [value, k];
  }
  let a = Math.max(0, best - 1) / (POINTS - 1);
  let b = Math.min(POINTS - 1, best + 1) / (POINTS - 1);
  const golden = (Math.sqrt(5) - 1) / 2;
  for (let k = 0; k < 34; k++) {
    const [p, q] = [b - golden * (b - a), a + golden * (b - a)];
    const [fp, fq] = [f(at(p)), f(at(q))];
    if (fp < fq) b = q;
    else a = p;
    least = Math.min(least, fp, fq);
  }
  return least;
}

/** Least sum of squares over what enters linearly, by the normal equations of one or two columns. */
function leastLinear(
  { kind, x, y }: WeakProblem,
  theta: readonly number[],
  linear: readonly number[],
): number {
  const base = theta.map((value, j) => (linear.includes(j) ? 0 : value));
  const rest = x.map((row, i) => y[i]! - kind.model.predict(base, row));
  const columns = linear.map((j) => {
    const unit = base.map((value, k) => (k === j ? 1 : value));
    return x.map((row, i) => kind.model.predict(unit, row) - (y[i]! - rest[i]!));
  });
  const inner = (u: readonly number[], v: readonly number[]): number =>
    u.reduce((sum, value, i) => sum + value * v[i]!, 0);
  const left = [...rest];
  const remove = (column: readonly number[], from: number[]): void => {
    const size = inner(column, column);
    const share = size > 0 ? inner(column, from) / size : 0;
    for (let i = 0; i < from.length; i++) from[i] = from[i]! - share * column[i]!;
  };
  columns.forEach((column, k) => {
    for (const earlier of columns.slice(0, k)) remove(earlier, column);
    remove(column, left);
  });
  return inner(left, left);
}

/** The least sum of squares with one parameter held, found by scans alone. */
function heldSum(problem: WeakProblem, j: number, value: number): number {
  const { parameters } = problem.kind.model;
  const linearNames = ["a", "m", "f", "r"];
  const linear = parameters.flatMap((name, k) => (k !== j && linearNames.includes(name) ? [k] : []));
  const scanned = parameters.flatMap((name, k) => (k !== j && name in RANGES ? [k] : []));
  const theta = parameters.map((_, k) => (k === j ? value : 0));
  const over = (depth: number): number => {
    if (depth === scanned.length) return leastLinear(problem, theta, linear);
    const k = scanned[depth]!;
    return scan(parameters[k]!, (trial) => {
      theta[k] = trial;
      const sum = over(depth + 1);
      return Number.isFinite(sum) ? sum : Number.MAX_VALUE;
    });
  };
  return over(0);
}

/** First crossing outward from the estimate; undefined when there is none in reach. */
function crossing(problem: WeakProblem, fit: ConvergedFit, j: number, side: 1 | -1): number | undefined {
  const limit = fit.rss * (1 + tQuantile(0.975, fit.df) ** 2 / fit.df);
  const estimate = fit.estimates[j]!;
  const step = 0.5 * fit.standardErrors[j]!;
  const toZero = side * estimate < 0;
  let inside = estimate;
  for (let k = 1; k < 60; k++) {
    const far = estimate + side * step * k * 1.12 ** k;
    const positive = !["b", "c", "f", "r"].includes(fit.parameters[j]!);
    const outside = toZero && positive ? Math.max(far, inside / 1.7) : far;
    if (heldSum(problem, j, outside) >= limit) {
      let [a, b] = [inside, outside];
      for (let halving = 0; halving < 14; halving++) {
        const middle = (a + b) / 2;
        if (heldSum(problem, j, middle) < limit) a = middle;
        else b = middle;
      }
      return (a + b) / 2;
    }
    inside = outside;
  }
  return undefined;
}

/** Every profile end of the weak fits against a brute-force one: dense scans over the other parameters, no descent. */
export function benchProfiles(perKind = 40): void {
  const tally = new Map<
    string,
    { ends: number; within: number; open: number; alsoOpen: number; worst: number; ms: number }
  >();
  for (const problem of weakProblems(perKind)) {
    const { kind, x, y } = problem;
    const fit = fitNonlinear({ x, y }, kind.model, { start: kind.truth });
    if (fit.status !== "converged") continue;
    const row = tally.get(kind.name) ?? { ends: 0, within: 0, open: 0, alsoOpen: 0, worst: 0, ms: 0 };
    tally.set(kind.name, row);
    const start = performance.now();
    const intervals = profileIntervals(fit, kind.model);
    row.ms += performance.now() - start;
    intervals.forEach((interval, j) => {
      for (const side of [-1, 1] as const) {
        const brute = crossing(problem, fit, j, side);
        const open = side < 0 ? interval.openBelow : interval.openAbove;
        const value = side < 0 ? interval.lower : interval.upper;
        row.ends++;
        if (open) {
          row.open++;
          if (brute === undefined) row.alsoOpen++;
          else
            console.log(
              `  open where brute force closes: ${kind.name} ${interval.name} ${side} at ${value.toPrecision(4)}, brute ${brute.toPrecision(4)}; ${interval.findings.map((f) => f.message).join("; ")}`,
            );
          continue;
        }
        const off =
          brute === undefined
            ? Number.POSITIVE_INFINITY
            : Math.abs(value - brute) / Math.abs(brute - interval.estimate);
        if (off <= 0.01) row.within++;
        else
          console.log(
            `  off: ${kind.name}, ${interval.name} ${side}: ${value.toPrecision(6)}, brute force ${brute?.toPrecision(6)}`,
          );
        row.worst = Math.max(row.worst, off);
      }
    });
  }
  for (const [name, { ends, within, open, alsoOpen, worst, ms }] of tally) {
    console.log(
      `  ${name.padEnd(34)} ${ends} ends: ${within} closed within 1 %, ${open} open (brute force: ${alsoOpen}), largest gap ${(100 * worst).toFixed(2)} %, ${(ms / perKind).toFixed(1)} ms a fit`,
    );
  }
}
