import {
  choleskyInPlace,
  choleskyLogDeterminant,
  dot,
  shifted,
  solveLower,
} from "../../numeric/matrices/index.js";
import type { Kernel, Seen, SmoothSpread } from "./kernel.js";

/** What is believed of the spread before the rows: median and log standard deviation. */
const beliefs = {
  scatter: [0.05, 0.8],
  bend: [0.06, 1],
  shift: [0.03, 1],
} as const satisfies Readonly<Record<keyof SmoothSpread, readonly [number, number]>>;

const ladder = (from: number, to: number, ratio: number): readonly number[] => {
  const steps: number[] = [];
  for (let value = from; value <= to; value *= ratio) steps.push(value);
  return steps;
};
const scatters = ladder(0.008, 0.6, 1.3);
const bends = [0.01, 0.03, 0.06, 0.11, 0.2, 0.4];
const shifts = [0.005, 0.03, 0.08];

function believed(part: keyof SmoothSpread, value: number): number {
  const [middle, sd] = beliefs[part];
  return -((Math.log(value / middle) / sd) ** 2) / 2;
}

/** A spread and how likely it is. */
export interface Likely {
  readonly spread: SmoothSpread;
  /** Logarithm of the marginal likelihood of the rows that count, times the priors of the spread. */
  readonly evidence: number;
}

/** Rows set aside, and what C^-1 says among them under a spread. */
export interface Aside {
  /** Cholesky factor of C^-1 among them, k x k. */
  readonly factor: Float64Array;
  /** C^-1 y at them. */
  readonly solved: Float64Array;
}

/**
 * What is asked of a kernel under the spreads of one bend and one shift, with rows set aside. Nothing is fitted anew without
 * them: of what all rows say together, what the others say of them is taken off,
 *
 *     ln p(rest) = ln p(all) - ln p(aside | rest),  aside | rest ~ N(y - A^-1 b, A^-1),  A = (C^-1)_aside, b = (C^-1 y)_aside
 *
 * @source C. E. Rasmussen and C. K. I. Williams, Gaussian Processes for Machine Learning (2006), 5.4.2 (left-out rows)
 */
export function underBend(
  kernel: Kernel,
  { bend, shift }: Pick<SmoothSpread, "bend" | "shift">,
  { y, aside }: { readonly y: Seen; readonly aside: readonly number[] },
): (scatter: number) => { readonly deviance: number; readonly aside: Aside } {
  const { n, m } = kernel;
  const k = aside.length;
  const turning = kernel.turning(bend, shift);
  const turned = turning.turn(y.inside);
  const places = aside.map((i) => turning.turn(kernel.place(i)));
  const outsides = aside.map((i) => aside.map((j) => kernel.outside(i, j)));
  const rest = y.outside === undefined ? 0 : dot(y.outside, 0, y.outside, 0, n);
  return (scatter) => {
    const variance = scatter ** 2;
    const { logDeterminant, half } = shifted(turning, variance);
    const own = half(turned);
    const halves = places.map(half);
    const factor = new Float64Array(k * k);
    for (let i = 0; i < k; i++)
      for (let j = 0; j <= i; j++)
        factor[i * k + j] = dot(halves[i]!, 0, halves[j]!, 0, m) + outsides[i]![j]! / variance;
    const solved = Float64Array.from(
      aside,
      (row, i) => dot(halves[i]!, 0, own, 0, m) + (y.outside?.[row] ?? 0) / variance,
    );
    choleskyInPlace(factor, k);
    const left = solved.slice();
    solveLower(factor, k, left);
    const all = logDeterminant + (n - m) * Math.log(variance) + dot(own, 0, own, 0, m) + rest / variance;
    const deviance = all + choleskyLogDeterminant(factor, k) - dot(left, 0, left, 0, k);
    return { deviance, aside: { factor, solved } };
  };
}

/** @param deviance - ln |C| + y'C^-1 y for the covariance C of the n rows */
export function evidenceOf({ scatter, bend, shift }: SmoothSpread, deviance: number, n: number): number {
  const prior = believed("scatter", scatter) + believed("bend", bend) + believed("shift", shift);
  return prior - (deviance + n * Math.log(2 * Math.PI)) / 2;
}

/** The likeliest spread: over the whole ladder, or near a spread known before. */
export function likeliest(
  kernel: Kernel,
  rows: { readonly y: Seen; readonly aside: readonly number[] },
  near?: SmoothSpread,
): Likely {
  let best: Likely = {
    spread: near ?? { scatter: 0.05, bend: 0.06, shift: 0.03 },
    evidence: Number.NEGATIVE_INFINITY,
  };
  for (const shift of kernel.grouped ? shifts : [0.03]) {
    for (const bend of close(bends, near?.bend)) {
      const under = underBend(kernel, { bend, shift }, rows);
      for (const scatter of close(scatters, near?.scatter)) {
        const spread = { scatter, bend, shift };
        const evidence = evidenceOf(spread, under(scatter).deviance, kernel.n - rows.aside.length);
        if (evidence > best.evidence) best = { spread, evidence };
      }
    }
  }
  return best;
}

/** The values of a ladder within two steps of one, or all of them. */
function close(values: readonly number[], value: number | undefined): readonly number[] {
  if (value === undefined) return values;
  const at = values.reduce(
    (b, v, i) => (Math.abs(Math.log(v / value)) < Math.abs(Math.log(values[b]! / value)) ? i : b),
    0,
  );
  return values.slice(Math.max(0, at - 2), at + 3);
}
