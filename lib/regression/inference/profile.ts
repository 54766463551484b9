import { findRoot } from "../../numeric/index.js";
import type { Bounds, ConvergedFit, Interval, Model } from "../common/index.js";
import { makeProblem, tFactor } from "../common/index.js";
import { descend, polish, SeparableProblem } from "../nonlinear/index.js";

/** One point of a profile: the best sum of squares with one parameter held. */
export interface ProfilePoint {
  readonly value: number;
  /** sign x sqrt((S(value) - S_min) / s^2): a straight line in `value` where the symmetric interval is right. */
  readonly tau: number;
}

export interface ProfileInterval extends Interval {
  /** No end was found below: `lower` is only as far as was looked. */
  readonly openBelow: boolean;
  /** No end was found above: `upper` is only as far as was looked. */
  readonly openAbove: boolean;
  /** A fit with the parameter held came out below the fit itself, which therefore is not the best minimum. */
  readonly foundLower: boolean;
  /** The points tried, in order of value: plot tau against value. */
  readonly profile: readonly ProfilePoint[];
}

export interface ProfileOptions {
  /** Default 0.95. */
  readonly level?: number;
  /** The bounds the fit was made with. */
  readonly bounds?: Bounds;
  /** Which parameters. Default: all that are not at a bound. */
  readonly parameters?: readonly string[];
}

/** The model with parameter j held at a value that can be set. */
function holdParameter(model: Model, j: number): { readonly model: Model; hold(value: number): void } {
  const full = new Array<number>(model.parameters.length).fill(0);
  const others = model.parameters.map((_, k) => k).filter((k) => k !== j);
  const spread = (theta: readonly number[]): number[] => {
    for (let k = 0; k < others.length; k++) full[others[k]!] = theta[k]!;
    return full;
  };
  const { gradient } = model;
  const held: Model = {
    parameters: others.map((k) => model.parameters[k]!),
    predict: (theta, x) => model.predict(spread(theta), x),
  };
  return {
    model:
      gradient === undefined
        ? held
        : {
            ...held,
            gradient(theta, x) {
              const partials = gradient.call(model, spread(theta), x);
              return others.map((k) => partials[k]!);
            },
          },
    hold: (value) => {
      full[j] = value;
    },
  };
}

const unlimited = (
  bounds: readonly number[] | undefined,
  others: readonly number[],
  open: number,
): number[] => others.map((k) => bounds?.[k] ?? open);

/** Returns tau as a function of the held value; each call starts from the end of the nearest one before. */
function profiler(fit: ConvergedFit, model: Model, j: number, bounds: Bounds | undefined) {
  const { model: held, hold } = holdParameter(model, j);
  const problem = makeProblem(fit.observations, held);
  const others = model.parameters.map((_, k) => k).filter((k) => k !== j);
  const box = {
    lower: unlimited(bounds?.lower, others, Number.NEGATIVE_INFINITY),
    upper: unlimited(bounds?.upper, others, Number.POSITIVE_INFINITY),
  };
  const separable = new SeparableProblem(problem, []);
  const best = others.map((k) => fit.estimates[k]!);
  const slope = others.map((k) => fit.covariance[j]![k]! / fit.covariance[j]![j]!);
  const points: (ProfilePoint & { readonly rest: readonly number[] })[] = [
    { value: fit.estimates[j]!, tau: 0, rest: best },
  ];
  let foundLower = false;
  const tau = (value: number): number => {
    hold(value);
    const near = points.reduce((a, b) => (Math.abs(b.value - value) < Math.abs(a.value - value) ? b : a));
    const start = near.rest.map((rest, k) =>
      Math.min(box.upper[k]!, Math.max(box.lower[k]!, rest + slope[k]! * (value - near.value))),
    );
    others.forEach((k, place) => {
      problem.magnitude[place] = Math.abs(fit.estimates[k]!);
    });
    let polished = polish(problem, start, box, 1e-7);
    if (polished === undefined || polished.offset > 1e-6) {
      const walked = descend(separable, polished?.theta ?? near.rest, box, 200);
      polished = polish(problem, walked.theta, box, 1e-7);
    }
    const rss = polished === undefined ? Number.POSITIVE_INFINITY : polished.rss;
    if (rss < fit.rss * (1 - 1e-6)) foundLower = true;
    const size = Math.sqrt(Math.max(0, rss - fit.rss)) / fit.residualSd;
    const signed = value < fit.estimates[j]! ? -size : size;
    if (polished !== undefined) points.push({ value, tau: signed, rest: polished.theta });
    return signed;
  };
  const sorted = (): ProfilePoint[] =>
    points.map(({ value, tau: height }) => ({ value, tau: height })).sort((a, b) => a.value - b.value);
  return { tau, sorted, isBeaten: () => foundLower };
}

interface End {
  readonly value: number;
  readonly open: boolean;
}

/** Where |tau| reaches the target on one side: step out until past it, then search between. */
function findEnd(
  tau: (value: number) => number,
  centre: number,
  step: number,
  target: number,
  limit: number,
): End {
  const clip = (value: number): number => (step > 0 ? Math.min(value, limit) : Math.max(value, limit));
  const known = new Map<number, number>();
  const excess = (value: number): number => {
    const height = Math.min(Math.abs(tau(value)), 1e6) - target;
    known.set(value, height);
    return height;
  };
  // A second look starts from where the first ended: a refit that stopped short is no end.
  const beyond = (value: number): number => {
    const height = excess(value);
    return height < 0 ? height : excess(value);
  };
  let inner = centre;
  let innerExcess = -target;
  let outer = clip(centre + step);
  let outerExcess = beyond(outer);
  for (let k = 0; outerExcess < 0; k++) {
    if (k === 40 || outer === limit) return { value: outer, open: true };
    const slope = (outerExcess - innerExcess) / (outer - inner);
    const ahead = slope === 0 ? Number.POSITIVE_INFINITY : Math.abs(outerExcess / slope);
    const stride = Math.min(Math.max(1.1 * ahead, 0.1 * Math.abs(step)), 4 * Math.abs(outer - centre));
    inner = outer;
    innerExcess = outerExcess;
    outer = clip(outer + Math.sign(step) * stride);
    outerExcess = beyond(outer);
  }
  if (inner === centre) known.set(centre, -target);
  const { x } = findRoot((value) => known.get(value) ?? excess(value), inner, outer, 1e-11 * Math.abs(step));
  return { value: x, open: false };
}

/**
 * Profile-likelihood intervals: all values of a parameter at which the best fit with it held is not significantly worse.
 * Right also where the model is curved; follows a change of scale of the parameter. Open ends are said.
 *
 *     tau(v) = sign(v - estimate) sqrt((S(v) - S_min) / s^2),   ends at |tau| = t(level, df)
 *
 * @source Bates and Watts (1988) chapter 6
 */
export function profileIntervals(
  fit: ConvergedFit,
  model: Model,
  options: ProfileOptions = {},
): ProfileInterval[] {
  const level = options.level ?? 0.95;
  const target = tFactor(level, fit.df);
  const wanted = options.parameters ?? fit.parameters;
  return fit.parameters.flatMap((name, j) => {
    const error = fit.standardErrors[j]!;
    if (!wanted.includes(name) || error === 0) return [];
    const estimate = fit.estimates[j]!;
    const { tau, sorted, isBeaten } = profiler(fit, model, j, options.bounds);
    const below = findEnd(
      tau,
      estimate,
      -target * error,
      target,
      options.bounds?.lower?.[j] ?? Number.NEGATIVE_INFINITY,
    );
    const above = findEnd(
      tau,
      estimate,
      target * error,
      target,
      options.bounds?.upper?.[j] ?? Number.POSITIVE_INFINITY,
    );
    return [
      {
        name,
        estimate,
        lower: below.value,
        upper: above.value,
        level,
        openBelow: below.open,
        openAbove: above.open,
        foundLower: isBeaten(),
        profile: sorted(),
      },
    ];
  });
}
