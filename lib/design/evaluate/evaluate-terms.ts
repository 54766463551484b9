import type { Basis, ModelOrder, TermGroup } from "../model/index.js";
import {
  basisOf,
  type Covariance,
  covarianceOf,
  expressedIn,
  type ModelMatrix,
  pickColumns,
} from "../model/index.js";
import type { Axis } from "../region/index.js";
import type { AliasedTerm, Leak, PlanEvaluation, TermEvaluation } from "./evaluation.js";
import type { ErrorStrata } from "./evaluation-layout.js";
import { effectError, termPower } from "./power.js";

/** What power is asked about. */
export interface PowerQuestion {
  readonly change: number;
  readonly sd: number;
  readonly level: number;
}

/** A model of which a plan estimates the columns `kept`, and how surely. */
export interface EstimatedModel {
  readonly axes: readonly Axis[];
  readonly basis: Basis;
  readonly kept: readonly number[];
  readonly matrix: ModelMatrix;
  readonly covariance: Covariance;
  readonly error: ErrorStrata;
}

/** Standard error, power and inflation of every term that can be estimated. */
export function evaluateTerms(model: EstimatedModel, question: PowerQuestion): readonly TermEvaluation[] {
  const { axes, basis, kept, matrix, covariance, error } = model;
  const p = kept.length;
  return basis.groups.flatMap((group): TermEvaluation[] => {
    const places = group.columns.map((column) => kept.indexOf(column));
    if (places.includes(-1)) return [];
    const between = group.axes.length > 0 && group.axes.every((axis) => axes[axis]!.hard);
    const degreesOfFreedom = between ? error.wholePlot : error.residual;
    const testable = degreesOfFreedom > 0 && group.effects.length > 0;
    return [
      {
        name: group.name,
        standardError: question.sd * effectError({ group, covariance: covariance.matrix, p, places }),
        degreesOfFreedom,
        ...(testable
          ? {
              power: termPower({
                group,
                covariance: covariance.matrix,
                p,
                places,
                error: { ...question, degreesOfFreedom },
              }),
            }
          : {}),
        inflation: inflationOf({ group, places, matrix, covariance }),
      },
    ];
  });
}

/** Largest ratio of a column's variance to what it would be with the mean alone (nonlinear: entirely alone). */
function inflationOf({
  group,
  places,
  matrix,
  covariance,
}: {
  readonly group: TermGroup;
  readonly places: readonly number[];
  readonly matrix: ModelMatrix;
  readonly covariance: Covariance;
}): number {
  const p = matrix.rows[0]!.length;
  return Math.max(
    ...places.map((place) => {
      const beside = group.effects.length === 0 ? [place] : [0, place];
      const alone = covarianceOf({ ...matrix, rows: pickColumns(matrix.rows, beside) });
      const last = alone === undefined ? Number.NaN : alone.matrix[alone.matrix.length - 1]!;
      return covariance.matrix[place * p + place]! / last;
    }),
  );
}

/** Terms that are combinations of others in these coupons. */
export function describeAliased({
  basis,
  rows,
  kept,
  dependent,
}: {
  readonly basis: Basis;
  readonly rows: readonly Float64Array[];
  readonly kept: readonly number[];
  readonly dependent: readonly number[];
}): readonly AliasedTerm[] {
  const expressed = expressedIn(pickColumns(rows, kept), pickColumns(rows, dependent));
  return dependent.map((column, i) => ({
    name: basis.names[column]!,
    with: kept.filter((_, k) => Math.abs(expressed[i]![k]!) > 1e-6).map((other) => basis.names[other]!),
  }));
}

/** Smallest bias worth mentioning. */
const LEAST_LEAK = 0.05;

/**
 * Second-order terms left out of a smaller model, and the effects they would bias, largest first.
 *
 * @param rowsOf - rows of the coupons for a basis, weighed as those of the model are
 */
export function findLeaks(
  model: EstimatedModel,
  order: ModelOrder,
  rowsOf: (basis: Basis) => readonly Float64Array[],
): readonly Leak[] {
  if (order === "quadratic") return [];
  const { axes, basis, kept, matrix } = model;
  const full = basisOf(axes, "quadratic");
  const omitted = full.names.flatMap((name, column) => (basis.names.includes(name) ? [] : [column]));
  const expressed = expressedIn(matrix.rows, pickColumns(rowsOf(full), omitted));
  const effects = new Set(basis.groups.flatMap((group) => group.columns));
  return omitted
    .flatMap((column, i) =>
      kept.flatMap((into, k) =>
        effects.has(into)
          ? [{ from: full.names[column]!, into: basis.names[into]!, share: expressed[i]![k]! }]
          : [],
      ),
    )
    .filter(({ share }) => Math.abs(share) > LEAST_LEAK)
    .sort((a, b) => Math.abs(b.share) - Math.abs(a.share));
}

/** Correlations of the estimates without the mean. */
export function correlationsOf(
  basis: Basis,
  kept: readonly number[],
  covariance: Covariance,
): PlanEvaluation["correlations"] {
  const p = kept.length;
  const places = kept.flatMap((column, place) => (basis.names[column] === "mean" ? [] : [place]));
  const at = (i: number, j: number): number => covariance.matrix[i * p + j]!;
  return {
    names: places.map((place) => basis.names[kept[place]!]!),
    matrix: places.map((i) => places.map((j) => (i === j ? 1 : at(i, j) / Math.sqrt(at(i, i) * at(j, j))))),
  };
}
