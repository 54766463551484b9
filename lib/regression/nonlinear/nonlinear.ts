import { requireNumber, requireThat } from "../../errors/index.js";
import type { Bounds, Fit, Model, Observations } from "../common/index.js";
import { checkObservations, makeProblem, type Problem, requireRows } from "../common/index.js";
import { type Attempt, type AttemptSettings, attempt } from "./attempt.js";
import { checkGradient } from "./check-gradient.js";
import type { Box } from "./descend.js";
import { detectLinear } from "./detect-linear.js";
import { looksPoor } from "./looks-poor.js";
import { isElsewhere, summariseFailure, summariseFit } from "./nonlinear-summary.js";
import { SeparableProblem } from "./separable.js";
import { widerStarts } from "./starts.js";

export interface NonlinearOptions {
  /** First guess, or several, one value per parameter. */
  readonly start: readonly number[] | readonly (readonly number[])[];
  readonly bounds?: Bounds;
  /**
   * Further starts to try, spread in powers of ten about the given one. Default 0; up to 12
   * where the given ones fail or end in a fit that looks poor: no better than a constant, or with residuals that run
   * together. 0 tries none.
   */
  readonly starts?: number;
  /**
   * Damped steps per start, not in all: a fit whose first start fails or looks poor tries up to 12 more, and the result's
   * `iterations` counts those of every start. `starts: 0` holds it to the starts given. Default 300.
   */
  readonly maxIterations?: number;
  /** Largest relative offset that counts as converged; raise it for a model computed roughly. Default 1e-8. */
  readonly tolerance?: number;
}

const furtherStarts = 12;
/** Further starts end when this many agree on a best minimum that looks sound, or the second number on any. */
const soundAgreeing = 2;
const oftenAgreeing = 6;
/** Points looked at for each start taken: few in a rescue, which must be quick, more when starts were asked for. */
const rescueScreen = 5;
const searchScreen = 16;

function readStarts(options: NonlinearOptions, size: number): number[][] {
  const { start } = options;
  const list = (Array.isArray(start[0]) ? start : [start]) as readonly (readonly number[])[];
  requireThat(list.length > 0, "fitNonlinear needs a start");
  for (const point of list) {
    requireThat(
      point.length === size,
      `fitNonlinear: a start has ${point.length} values for ${size} parameters`,
    );
    point.forEach((value, j) => {
      requireNumber(`fitNonlinear: start value ${j + 1}`, value);
    });
  }
  return list.map((point) => [...point]);
}

function readBox(bounds: Bounds | undefined, size: number): Box {
  const lower = bounds?.lower ?? new Array<number>(size).fill(Number.NEGATIVE_INFINITY);
  const upper = bounds?.upper ?? new Array<number>(size).fill(Number.POSITIVE_INFINITY);
  requireThat(
    lower.length === size && upper.length === size,
    `fitNonlinear: bounds need one value for each of the ${size} parameters (-Infinity or Infinity for none)`,
  );
  for (let j = 0; j < size; j++) {
    requireThat(
      lower[j]! < upper[j]!,
      `fitNonlinear: the lower bound of parameter ${j + 1} must be below its upper bound, got ${lower[j]} and ${upper[j]}`,
    );
  }
  return { lower, upper };
}

const isBounded = (box: Box, j: number): boolean =>
  box.lower[j]! > Number.NEGATIVE_INFINITY || box.upper[j]! < Number.POSITIVE_INFINITY;

/** Parameters to project out: declared, else detected; never one with bounds, which projection would ignore. */
function linearParameters(problem: Problem, start: readonly number[], box: Box): number[] {
  const { model } = problem;
  let found: readonly number[];
  if (model.linearIn === undefined) {
    found = detectLinear(problem, start);
    for (const j of found) problem.straight[j] = 1;
  } else {
    found = model.linearIn.map((name) => {
      const j = model.parameters.indexOf(name);
      requireThat(j >= 0, `fitNonlinear: linearIn names ${JSON.stringify(name)}, which is no parameter`);
      return j;
    });
  }
  return found.filter((j) => !isBounded(box, j));
}

/** The best few of many wider starts, judged by their sum of squares alone. */
function screenedStarts({
  separable,
  start,
  box,
  count,
  screened,
}: {
  readonly separable: SeparableProblem;
  readonly start: readonly number[];
  readonly box: Box;
  readonly count: number;
  readonly screened: number;
}): number[][] {
  const candidates = widerStarts(start, count * screened).map((values) => {
    const point = values.map((value, j) => Math.min(box.upper[j]!, Math.max(box.lower[j]!, value)));
    const alpha = separable.nonlinear.map((j) => point[j]!);
    return { point, rss: separable.evaluate(alpha) };
  });
  return candidates
    .filter(({ rss }) => Number.isFinite(rss))
    .sort((a, b) => a.rss - b.rss)
    .slice(0, count)
    .map(({ point }) => point);
}

const rank = (result: Attempt): number => (result.status === "converged" ? 0 : 1);

function better(a: Attempt, b: Attempt): Attempt {
  if (rank(a) !== rank(b)) return rank(a) < rank(b) ? a : b;
  return b.rss < a.rss ? b : a;
}

/** The attempts that ended as well as the best one, in their order. */
function equals(problem: Problem, attempts: readonly Attempt[]): readonly Attempt[] {
  const best = attempts.reduce(better);
  const slack = 1e-6 * best.rss + 1e-20 * problem.targetNorm ** 2;
  return attempts.filter(({ status, rss }) => status === best.status && Math.abs(rss - best.rss) <= slack);
}

const agreement = (problem: Problem, attempts: readonly Attempt[]): number =>
  equals(problem, attempts).length;

/** The best of attempts that ended equally; where they are different places, that of the earliest start, the one given. */
function choose(equal: readonly Attempt[]): Attempt {
  const best = equal.reduce(better);
  const earliest = equal[0]!;
  return isElsewhere(earliest.theta, best.theta) ? earliest : best;
}

/** Whether a converged attempt ended clearly above the best one. */
function isBeaten(problem: Problem, first: Attempt, best: Attempt): boolean {
  return first.status === "converged" && agreement(problem, [first, best]) === 1;
}

/**
 * Adds further starts where the given ones failed or their end looks poor, until the best end is sound and met twice, or
 * met so often that it is the best to be had.
 */
function tryFurther({
  separable,
  attempts,
  start,
  settings,
}: {
  readonly separable: SeparableProblem;
  readonly attempts: Attempt[];
  readonly start: readonly number[];
  readonly settings: AttemptSettings;
}): void {
  const { problem } = separable;
  const isSolved = (): boolean => attempts.some(({ status }) => status === "converged");
  // Several starts given are a search already, and a model without nonlinear parameters has one minimum.
  const isDoubtful = attempts.length === 1 && separable.nonlinear.length > 0;
  const isSound = (): boolean =>
    isSolved() && !(isDoubtful && looksPoor(problem, attempts.reduce(better).polished!));
  if (isSound()) return;
  const screen = isSolved() ? searchScreen : rescueScreen;
  for (const point of screenedStarts({
    separable,
    start,
    box: settings.box,
    count: furtherStarts,
    screened: screen,
  })) {
    attempts.push(attempt(separable, point, settings));
    const agreeing = isSolved() ? agreement(problem, attempts) : 0;
    if (agreeing >= oftenAgreeing || (agreeing >= soundAgreeing && isSound())) return;
  }
  if (!isSolved() && separable.linear.length > 0) {
    attempts.push(attempt(new SeparableProblem(problem, []), start, settings));
  }
}

/**
 * Nonlinear least squares with a certificate.
 *
 *     minimise sum w (y - f(theta, x))^2
 *
 * Linear parameters are projected out, the others walk downhill by damped steps in scaled parameters, and the result
 * is polished on the whole model by QR Gauss-Newton. A fit is called converged only when the relative offset is below
 * the tolerance, the derivatives have full rank, and probing to both sides of loosely known parameters finds a rise. When
 * the given start fails or its end looks poor, wider ones are tried, always the same, and a finding says when one of
 * them did better. A minimum is local: ask for more `starts` when the model may have several,
 * and read `startsAgreeing`.
 *
 * @throws {BeadbenchError} `bad-argument` for malformed input or a gradient that is not that of the values,
 *   `not-enough-data` without a spare row
 * @source Marquardt (1963); More (1978); Golub and Pereyra (1973); Bates and Watts (1981, 1988)
 */
export function fitNonlinear(observations: Observations, model: Model, options: NonlinearOptions): Fit {
  const size = model.parameters.length;
  checkObservations("fitNonlinear", observations);
  requireRows("fitNonlinear", observations.y.length, size);
  const starts = readStarts(options, size);
  const box = readBox(options.bounds, size);
  const tolerance = requireNumber("fitNonlinear: tolerance", options.tolerance ?? 1e-8, { above: 0 });
  const maxIterations = requireNumber("fitNonlinear: maxIterations", options.maxIterations ?? 300, {
    min: 1,
  });
  const problem = makeProblem(observations, model);
  const separable = new SeparableProblem(problem, linearParameters(problem, starts[0]!, box));
  const settings = { box, maxIterations, tolerance };
  checkGradient(problem, starts[0]!);

  const attempts = starts.map((point) => attempt(separable, point, settings));
  const first = attempts.reduce(better);
  if (options.starts === undefined) tryFurther({ separable, attempts, start: starts[0]!, settings });
  else {
    for (const point of screenedStarts({
      separable,
      start: starts[0]!,
      box,
      count: options.starts,
      screened: searchScreen,
    })) {
      attempts.push(attempt(separable, point, settings));
    }
  }
  const equal = equals(problem, attempts);
  const best = choose(equal);
  const counts = {
    tolerance,
    evaluations: problem.evaluations,
    iterations: attempts.reduce((sum, { iterations }) => sum + iterations, 0),
    startsTried: attempts.length,
    startsAgreeing: equal.length,
  };
  checkGradient(problem, best.theta);
  const isFound = options.starts === undefined && isBeaten(problem, first, best);
  return best.status === "converged"
    ? summariseFit({
        observations,
        problem,
        polished: best.polished!,
        ending: {
          counts,
          beaten: isFound ? first.rss : undefined,
          alike: equal.map(({ theta }) => theta).filter((theta) => isElsewhere(theta, best.theta)),
        },
      })
    : summariseFailure({ observations, problem, attempt: best, counts });
}
