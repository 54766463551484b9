import type { FitStatus, Problem } from "../common/index.js";
import { type Box, descend, tightOffset } from "./descend.js";
import { towardsStart } from "./mirror.js";
import { type Polished, polish } from "./polish.js";
import { freeInverse, probe } from "./probe.js";
import type { SeparableProblem } from "./separable.js";

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

interface Verdict {
  readonly status: FitStatus;
  readonly flat: readonly number[];
  /** A point with a smaller sum of squares. */
  readonly lower?: readonly number[];
}

/** Where the damped walk hands over to the polish at first. */
const looseOffset = 0.03;
/** Rounds of walk and polish, and tangent planes in each. */
const mostRounds = 6;
const mostPlanes = 60;

/** Tells the difference formulas how large parameters are about here; what they learnt elsewhere may not hold. */
function resetScales(problem: Problem, theta: readonly number[]): void {
  for (let j = 0; j < problem.size; j++) {
    if (theta[j] !== 0) problem.magnitude[j] = Math.abs(theta[j]!);
    problem.reach[j] = Number.NaN;
  }
}

function clip(values: readonly number[], box: Box): number[] {
  return values.map((value, j) => Math.min(box.upper[j]!, Math.max(box.lower[j]!, value)));
}

/**
 * Judges a polished point. A parameter whose own size, or that of its start, moves the fit by next to nothing has faded
 * from the model: the data do not determine it, however small the gradient.
 */
function judge({
  problem,
  polished,
  start,
  settings,
}: {
  readonly problem: Problem;
  readonly polished: Polished;
  readonly start: readonly number[];
  readonly settings: AttemptSettings;
}): Verdict {
  const { rank, pivots } = polished.factor;
  if (rank < polished.free.length) {
    return { status: "singular", flat: Array.from(pivots.subarray(rank), (k) => polished.free[k]!) };
  }
  const { flat, lower } = probe({ problem, polished, inverse: freeInverse(polished), box: settings.box });
  if (lower !== undefined) return { status: "max-iterations", flat: [], lower };
  if (flat.length > 0) return { status: "singular", flat };
  const arrived = polished.offset <= settings.tolerance;
  const faded = polished.free.filter((j, k) => {
    const size = Math.max(Math.abs(polished.theta[j]!), Math.abs(start[j]!));
    return size > 0 && polished.scales[k]! * size < (arrived ? 1e-9 : 1e-7) * problem.targetNorm;
  });
  if (faded.length > 0) return { status: "singular", flat: faded };
  return { status: arrived ? "converged" : "max-iterations", flat: [] };
}

/**
 * Downhill until near, polish, judge. A polish that does not arrive sends the walk on to a tighter end; a probe that
 * finds a lower point starts over from there. Ends after the steps allowed, or after a few rounds: where the model's own
 * rounding is what the probe meets, there is always another lower point.
 */
export function attempt(
  separable: SeparableProblem,
  start: readonly number[],
  settings: AttemptSettings,
): Attempt {
  const { problem, nonlinear } = separable;
  const { box, maxIterations } = settings;
  const pick = (values: readonly number[]): number[] => nonlinear.map((j) => values[j]!);
  const inner = { lower: pick(box.lower), upper: pick(box.upper) };
  let from = clip(start, box);
  let iterations = 0;
  let settle = looseOffset;
  for (let round = 1; ; round++) {
    resetScales(problem, from);
    const { theta, rss, ...descent } = descend({
      separable,
      start: pick(from),
      box: inner,
      maxIterations: maxIterations - iterations,
      settledOffset: settle,
    });
    iterations += descent.iterations;
    resetScales(problem, theta);
    const most = Math.max(1, Math.min(mostPlanes, maxIterations - iterations));
    const reached = descent.end === "non-finite" ? undefined : polish(problem, theta, { box, most });
    if (reached === undefined) {
      const height = Number.isFinite(rss) ? rss : Number.MAX_VALUE;
      return { status: "non-finite", theta, rss: height, iterations, polished: undefined, flat: [] };
    }
    const left = Math.max(1, most - reached.iterations);
    const polished = towardsStart({ problem, polished: reached, start, options: { box, most: left } });
    iterations += polished.iterations;
    const { status, flat, lower } = judge({ problem, polished, start, settings });
    const isDone = status === "converged" || iterations >= maxIterations || round === mostRounds;
    if (isDone || (settle === tightOffset && lower === undefined)) {
      return { status, theta: polished.theta, rss: polished.rss, iterations, polished, flat };
    }
    settle = tightOffset;
    from = [...(lower ?? polished.theta)];
  }
}
