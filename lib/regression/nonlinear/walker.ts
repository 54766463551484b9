import { type Problem, sweep } from "../common/index.js";
import type { Box } from "./descend.js";

/** Least share of a step that is tried, as a power of two. */
const mostHalvings = 10;

function residualSum(target: Float64Array, values: Float64Array): number {
  let rss = 0;
  for (let i = 0; i < target.length; i++) rss += (target[i]! - values[i]!) ** 2;
  return rss;
}

/** A point on its way down the sum of squares of the whole model, with the values there. */
export class Walker {
  theta: number[];
  rss: number;
  values: Float64Array;
  private trialValues: Float64Array;

  constructor(
    private readonly problem: Problem,
    private readonly box: Box,
    start: readonly number[],
  ) {
    this.theta = [...start];
    this.values = new Float64Array(problem.rows);
    this.trialValues = new Float64Array(problem.rows);
    this.rss = sweep({ problem, theta: this.theta, out: this.values })
      ? residualSum(problem.target, this.values)
      : Number.POSITIVE_INFINITY;
  }

  /** Moves by the step when the sum of squares does not rise by more than `allowance`. */
  take(step: readonly number[], allowance: number): boolean {
    return this.tryShare(step, 1, allowance) === "moved";
  }

  /** Moves by the step or the largest power-of-two share of it that does not raise the sum of squares. */
  takeShare(step: readonly number[], allowance: number): boolean {
    for (let k = 0, share = 1; k <= mostHalvings; k++, share /= 2) {
      const outcome = this.tryShare(step, share, allowance);
      if (outcome !== "higher") return outcome === "moved";
    }
    return false;
  }

  private tryShare(step: readonly number[], share: number, allowance: number): "moved" | "higher" | "same" {
    const { problem, box, theta } = this;
    const trial = theta.map((value, j) =>
      Math.min(box.upper[j]!, Math.max(box.lower[j]!, value + share * step[j]!)),
    );
    if (trial.every((value, j) => value === theta[j])) return "same";
    if (!sweep({ problem, theta: trial, out: this.trialValues })) return "higher";
    const rss = residualSum(problem.target, this.trialValues);
    if (!(rss <= this.rss + allowance)) return "higher";
    this.theta = trial;
    this.rss = rss;
    [this.values, this.trialValues] = [this.trialValues, this.values];
    return "moved";
  }
}
