import { type Box, descend } from "./descend.js";
import { towardsStart } from "./mirror.js";
import { type Polished, polish } from "./polish.js";
import { probe } from "./probe.js";
import type { SeparableProblem } from "./separable.js";
import type { FitStatus } from "./types.js";

export interface AttemptSettings {
  readonly box: Box;
  readonly maxIterations: number;
  readonly tolerance: number;
}

/** One start followed to its end and judged. */
export interface Attempt {
  readonly status: FitStatus;
  readonly theta: readonly number[];
  readonly rss: number;
  readonly iterations: number;
  readonly polished: Polished | undefined;
  /** Parameters the data leave undetermined there. */
  readonly flat: readonly number[];
}

function clip(values: readonly number[], box: Box): number[] {
  return values.map((value, j) => Math.min(box.upper[j]!, Math.max(box.lower[j]!, value)));
}

/** Downhill, polish, probe; a probe that finds a lower point starts over from there. */
export function attempt(
  separable: SeparableProblem,
  start: readonly number[],
  settings: AttemptSettings,
): Attempt {
  const { problem, nonlinear } = separable;
  const { box, tolerance } = settings;
  const pick = (values: readonly number[]): number[] => nonlinear.map((j) => values[j]!);
  const inner = { lower: pick(box.lower), upper: pick(box.upper) };
  let from = clip(start, box);
  let iterations = 0;
  let last: Attempt | undefined;
  for (let round = 0; round < 5; round++) {
    for (let j = 0; j < problem.size; j++) problem.magnitude[j] = Math.abs(from[j]!);
    const descent = descend(separable, pick(from), inner, settings.maxIterations - iterations);
    iterations += descent.iterations;
    const { theta, rss } = descent;
    if (descent.end === "non-finite") {
      return {
        status: "non-finite",
        theta,
        rss: Number.MAX_VALUE,
        iterations,
        polished: undefined,
        flat: [],
      };
    }
    const reached = polish(problem, theta, box);
    if (reached === undefined) {
      return { status: "non-finite", theta, rss, iterations, polished: undefined, flat: [] };
    }
    const polished = towardsStart(problem, reached, start, box);
    iterations += polished.iterations;
    const done = (status: FitStatus, flat: readonly number[] = []): Attempt => ({
      status,
      theta: polished.theta,
      rss: polished.rss,
      iterations,
      polished,
      flat,
    });
    if (polished.factor.rank < polished.free.length) {
      const { rank, pivots } = polished.factor;
      return done(
        "singular",
        Array.from(pivots.subarray(rank), (k) => polished.free[k]!),
      );
    }
    const { flat, lower } = probe(problem, polished, box);
    if (lower !== undefined && iterations < settings.maxIterations) {
      from = [...lower];
      last = done("max-iterations");
      continue;
    }
    if (flat.length > 0) return done("singular", flat);
    return done(polished.offset <= tolerance ? "converged" : "max-iterations");
  }
  return last!;
}
