import type { ModelOrder } from "../model/index.js";
import { polynomialBasis } from "../model/index.js";
import type { Axis } from "../region/index.js";
import type { DesignKind } from "../runs/index.js";
import { type ClassicalKind, classicalSize } from "./classical.js";

/** Richest polynomial that `runs` coupons can estimate with two to spare; undefined when not even straight effects. */
export function richestModel(axes: readonly Axis[], runs: number): ModelOrder | undefined {
  const orders: readonly ModelOrder[] = ["quadratic", "interaction", "linear"];
  return (
    orders.find((order) => polynomialBasis(axes, order).size + 2 <= runs) ??
    (polynomialBasis(axes, "linear").size <= runs ? "linear" : undefined)
  );
}

/**
 * The design to use when none was asked for: optimal wherever limits, hard changes, coupons already run or
 * categories make textbook plans unfit; else the textbook plan that tells most for the coupons; else a
 * Latin hypercube.
 */
export function chooseDesign({
  axes,
  coupons,
  irregular,
  runs,
}: {
  readonly axes: readonly Axis[];
  readonly coupons: number;
  readonly irregular: boolean;
  readonly runs: number;
}): DesignKind {
  if (irregular || axes.some((axis) => axis.hard || axis.category)) {
    return richestModel(axes, runs) === undefined ? "latin-hypercube" : "optimal";
  }
  const preferred: readonly ClassicalKind[] = [
    "central-composite",
    "definitive-screening",
    "factorial",
    "fractional",
  ];
  return (
    preferred.find((kind) => (classicalSize(kind, axes) ?? Number.POSITIVE_INFINITY) <= coupons) ??
    "latin-hypercube"
  );
}
