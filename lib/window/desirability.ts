import { requireNumber, requireThat } from "../errors/index.js";

/** What is wanted of one response: as much, as little, or as near to a target as possible. */
export type DesirabilityGoal =
  | { readonly goal: "maximize"; readonly low: number; readonly high: number; readonly exponent?: number }
  | { readonly goal: "minimize"; readonly low: number; readonly high: number; readonly exponent?: number }
  | {
      readonly goal: "target";
      readonly low: number;
      readonly target: number;
      readonly high: number;
      /** Exponents below and above the target. Default 1. */
      readonly exponents?: readonly [below: number, above: number];
    };

/** Desirability of each response and of all together. */
export interface Desirability {
  readonly each: readonly number[];
  /** Geometric mean: 0 as soon as one response is out of bounds. */
  readonly overall: number;
}

/**
 * Desirability of a set of response values: a baseline for those who want one number. It weighs predicted
 * means only; scatter, doubt about the model and failures do not enter, so it promises nothing about how
 * many coupons will conform: use {@link conformance} for that.
 *
 *     maximize: d = ((y - low) / (high - low))^r, target: likewise on both sides; D = (d1 d2 ... dk)^(1/k)
 *
 * @throws {BeadbenchError} `bad-argument` for bounds out of order or a count that differs
 * @source G. Derringer and R. Suich, J. Quality Technology 12 (1980) 214-219
 * @example desirability([{ goal: "maximize", low: 0, high: 10 }], [2.5]).overall // => 0.25
 */
export function desirability(goals: readonly DesirabilityGoal[], values: readonly number[]): Desirability {
  requireThat(
    goals.length === values.length && goals.length > 0,
    `desirability needs one value per goal and at least one, got ${values.length} for ${goals.length} goals`,
  );
  const each = goals.map((goal, i) => single(goal, requireNumber(`value ${i + 1}`, values[i]!)));
  const overall = each.reduce((product, d) => product * d, 1) ** (1 / each.length);
  return { each, overall };
}

function single(goal: DesirabilityGoal, value: number): number {
  requireThat(goal.low < goal.high, `desirability: low must be below high, got ${goal.low} and ${goal.high}`);
  const clamp = (share: number): number => Math.min(1, Math.max(0, share));
  const rising = clamp((value - goal.low) / (goal.high - goal.low));
  switch (goal.goal) {
    case "maximize":
      return rising ** (goal.exponent ?? 1);
    case "minimize":
      return (1 - rising) ** (goal.exponent ?? 1);
    case "target": {
      const { low, target, high, exponents = [1, 1] } = goal;
      requireThat(
        low < target && target < high,
        `desirability: target must lie between low and high, got ${low}, ${target}, ${high}`,
      );
      return value <= target
        ? clamp((value - low) / (target - low)) ** exponents[0]
        : clamp((high - value) / (high - target)) ** exponents[1];
    }
  }
}
