import { type ConvergedFit, type Model, makeProblem, type Problem } from "../common/index.js";
import { detectLinear } from "../nonlinear/index.js";

/** The minimum a profile is taken about. */
export type Minimum = Pick<
  ConvergedFit,
  "estimates" | "rss" | "residualSd" | "standardErrors" | "covariance"
>;

/** Fits with one quantity held at a value that can be set: what a profile is made of. */
export interface HeldFits {
  /** What is minimised. */
  readonly problem: Problem;
  /** Places of its parameters in the whole model. */
  readonly places: readonly number[];
  /** Which of its parameters enter linearly, whatever the value held. */
  readonly linear: readonly number[];
  /** How its parameters move with the value held, near the minimum. */
  readonly slope: readonly number[];
  /** The quantity at the minimum. */
  readonly centre: number;
  hold(value: number): void;
}

/** Places of the parameters a model is linear in: declared, else found by trial. */
export function linearPlaces(fit: ConvergedFit, model: Model): readonly number[] {
  return (
    model.linearIn?.map((name) => model.parameters.indexOf(name)) ??
    detectLinear(makeProblem(fit.observations, model), fit.estimates)
  );
}

/** Fits of the model with parameter j held. */
export function holdingParameter({
  fit,
  model,
  j,
  minimum,
}: {
  readonly fit: ConvergedFit;
  readonly model: Model;
  readonly j: number;
  readonly minimum: Minimum;
}): HeldFits {
  const full = new Array<number>(model.parameters.length).fill(0);
  const places = model.parameters.map((_, k) => k).filter((k) => k !== j);
  const spread = (theta: readonly number[]): number[] => {
    for (let k = 0; k < places.length; k++) full[places[k]!] = theta[k]!;
    return full;
  };
  const { gradient } = model;
  const held: Model = {
    parameters: places.map((k) => model.parameters[k]!),
    predict: (theta, x) => model.predict(spread(theta), x),
    ...(gradient === undefined
      ? {}
      : {
          gradient(theta, x) {
            const partials = gradient.call(model, spread(theta), x);
            return places.map((k) => partials[k]!);
          },
        }),
  };
  // What is linear in the whole model stays linear with a parameter held, whatever its value.
  const whole = linearPlaces(fit, model);
  const row = minimum.covariance[j]!;
  return {
    problem: makeProblem(fit.observations, held),
    places,
    linear: places.flatMap((k, place) => (whole.includes(k) ? [place] : [])),
    slope: places.map((k) => row[k]! / row[j]!),
    centre: minimum.estimates[j]!,
    hold: (value) => {
      full[j] = value;
    },
  };
}

/**
 * Fits with one more observation, whose value is held: least squares of the data and of `weight` times its square. With
 * the weight of a measurement these are the fits to the data and a next measurement; with a very large one, fits whose
 * response at the row is the value.
 *
 * @param slopes - of the response at the row by the parameters, at the minimum
 * @source C. Kreutz, A. Raue and J. Timmer, BMC Systems Biology 6 (2012) 120
 */
export function holdingResponse({
  fit,
  model,
  at,
  linear,
}: {
  readonly fit: ConvergedFit;
  readonly model: Model;
  readonly at: {
    readonly row: readonly number[];
    readonly slopes: readonly number[];
    readonly weight: number;
  };
  readonly linear: readonly number[];
}): HeldFits {
  const { row, slopes, weight } = at;
  const { x, y, weights } = fit.observations;
  const centre = model.predict(fit.estimates, row);
  const problem = makeProblem(
    { x: [...x, row], y: [...y, centre], weights: [...(weights ?? y.map(() => 1)), weight] },
    model,
  );
  const along = fit.covariance.map((c) => c.reduce((sum, value, k) => sum + value * slopes[k]!, 0));
  const variance = along.reduce((sum, value, k) => sum + value * slopes[k]!, 0);
  return {
    problem,
    places: model.parameters.map((_, k) => k),
    linear,
    slope: along.map((value) => value / (variance + fit.residualSd ** 2 / weight)),
    centre,
    hold: (value) => {
      problem.target[y.length] = problem.root[y.length]! * value;
    },
  };
}
