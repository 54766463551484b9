import type { Model } from "./types.js";

/** A model's values and derivatives for all rows in one call, equal to those of `predict` and `gradient` row by row. */
export interface RowFunctions {
  /** Writes weight times value into `out` from `offset`, one number per weight; returns their sum. */
  values(
    theta: readonly number[],
    x: readonly (readonly number[])[],
    weights: Float64Array,
    out: Float64Array,
    offset: number,
  ): number;
  /**
   * Writes weight times derivative by parameter j into `out` from `starts[j]`, where that is not negative; returns the
   * sum of all written.
   */
  slopes(
    theta: readonly number[],
    x: readonly (readonly number[])[],
    weights: Float64Array,
    starts: Int32Array,
    out: Float64Array,
  ): number;
}

interface Derived extends RowFunctions {
  readonly gradient: NonNullable<Model["gradient"]>;
}

/** By the function of the values, so that a model whose values or gradient were replaced keeps neither. */
const known = new WeakMap<Model["predict"], Derived>();

/** Says that a gradient was derived from values, and how both are computed for many rows at once. */
export function registerRowFunctions(
  predict: Model["predict"],
  gradient: Derived["gradient"],
  functions: RowFunctions,
): void {
  known.set(predict, { ...functions, gradient });
}

/** The row functions of a model, undefined for one that has none or whose gradient is not the derived one. */
export function rowFunctionsOf({ predict, gradient }: Model): RowFunctions | undefined {
  const found = known.get(predict);
  return gradient !== undefined && found?.gradient === gradient ? found : undefined;
}
