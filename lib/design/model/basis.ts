import type { Settings } from "../region/index.js";

/** Straight effects; with all products of two; with squares too (the second-order response surface). */
export type ModelOrder = "linear" | "interaction" | "quadratic";

/** A model that is not linear in its parameters, with what is believed of them beforehand. */
export interface NonlinearPlanModel {
  /** Expected response for a coupon's settings. */
  readonly predict: (settings: Settings, parameters: readonly number[]) => number;
  /** One row: a best guess (local design). Several rows: draws from a prior, averaged over. */
  readonly parameters: readonly (readonly number[])[];
  /** Parameter names, for reports. Default: theta1, theta2 ... */
  readonly names?: readonly string[];
}

export type PlanModel = ModelOrder | NonlinearPlanModel;

/**
 * Model columns as a function of a coded row (-1 to +1 for numbers, the level's index for a category, and
 * last the block's index when there are blocks). With `copies` above 1 the row holds that many gradients,
 * one per prior draw, one after the other.
 */
export interface Basis {
  readonly names: readonly string[];
  /** Columns of one copy. */
  readonly size: number;
  readonly copies: number;
  /** Columns that stand or fall together: one per term; the mean and block columns belong to none. */
  readonly groups: readonly TermGroup[];
  fill(row: ArrayLike<number>, out: Float64Array): void;
}

/** A term of the model: one column, or several when a category takes part. */
export interface TermGroup {
  readonly name: string;
  readonly columns: readonly number[];
  /** Axes that take part. */
  readonly axes: readonly number[];
  /** One per pair of category levels, a single one for numbers; none for a nonlinear model. */
  readonly effects: readonly TermEffect[];
}

/**
 * An effect of a term: the change of the response from low to high (of a square: from the middle to the ends;
 * of a category: from one level to another), or for a product half the change of that change.
 */
export interface TermEffect {
  /** Coefficients that make the effect 2. */
  readonly pattern: readonly number[];
  /** The effect as a combination of the coefficients. */
  readonly contrast: readonly number[];
}
