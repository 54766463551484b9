import { choleskyInPlace, choleskyInverse, choleskyLogDeterminant } from "../../numeric/matrices/index.js";
import { coefficientsOf, type DesignBasis, directionOf } from "../common/index.js";

/** What the likelihood of a logistic model is made of, ready for climbing. */
export interface LogisticProblem {
  readonly basis: DesignBasis;
  /** Passes and trials per row. */
  readonly passes: Float64Array;
  readonly trials: Float64Array;
  readonly firth: boolean;
  /** Mean and 1 / sd^2 per coefficient; precision 0 where there is no opinion. */
  readonly prior: { readonly mean: readonly number[]; readonly precision: readonly number[] } | undefined;
}

/** ln(1 + e^x) without overflow. */
const softplus = (x: number): number => Math.max(x, 0) + Math.log1p(Math.exp(-Math.abs(x)));

/** 1 / (1 + e^-x), with full relative accuracy in both tails. */
export function logisticChance(x: number): number {
  return x >= 0 ? 1 / (1 + Math.exp(-x)) : Math.exp(x) / (1 + Math.exp(x));
}

/**
 * The likelihood of one problem with its derivatives, on arrays of its own: refits for a profile allocate
 * nothing.
 */
export class LogisticLikelihood {
  readonly eta: Float64Array;
  readonly weight: Float64Array;
  readonly score: Float64Array;
  readonly information: Float64Array;
  readonly factor: Float64Array;
  readonly inverse: Float64Array;
  readonly priorInformation: Float64Array | undefined;
  logLikelihood = 0;
  objective = Number.NEGATIVE_INFINITY;

  constructor(readonly problem: LogisticProblem) {
    const { basis, prior } = problem;
    const { rows, rank, columns, toCoefficients } = basis;
    this.eta = new Float64Array(rows);
    this.weight = new Float64Array(rows);
    this.score = new Float64Array(rank);
    this.information = new Float64Array(rank * rank);
    this.factor = new Float64Array(rank * rank);
    this.inverse = new Float64Array(rank * rank);
    if (prior !== undefined) {
      this.priorInformation = new Float64Array(rank * rank);
      for (let a = 0; a < rank; a++) {
        for (let b = 0; b < rank; b++) {
          let sum = 0;
          for (let j = 0; j < columns; j++) {
            sum += toCoefficients[j * rank + a]! * prior.precision[j]! * toCoefficients[j * rank + b]!;
          }
          this.priorInformation[a * rank + b] = sum;
        }
      }
    }
  }

  /** Weights, information, its factor, likelihood and objective at gamma. */
  evaluate(gamma: Float64Array): void {
    const { basis, passes, trials, firth, prior } = this.problem;
    const { rows, rank, q } = basis;
    const { information, weight, eta } = this;
    information.fill(0);
    let logLikelihood = 0;
    for (let i = 0; i < rows; i++) {
      let x = 0;
      for (let k = 0; k < rank; k++) x += q[i * rank + k]! * gamma[k]!;
      eta[i] = x;
      logLikelihood += passes[i]! * x - trials[i]! * softplus(x);
      const e = Math.exp(-Math.abs(x));
      const w = (trials[i]! * e) / ((1 + e) * (1 + e));
      weight[i] = w;
      for (let a = 0; a < rank; a++) {
        const wq = w * q[i * rank + a]!;
        for (let b = 0; b <= a; b++) information[a * rank + b]! += wq * q[i * rank + b]!;
      }
    }
    this.logLikelihood = logLikelihood;
    this.objective = logLikelihood;
    this.factor.set(information);
    if (firth) {
      if (!choleskyInPlace(this.factor, rank)) {
        this.objective = Number.NEGATIVE_INFINITY;
        return;
      }
      this.objective += 0.5 * (choleskyLogDeterminant(this.factor, rank) + basis.logGram);
    }
    if (prior !== undefined) {
      const beta = coefficientsOf(basis, gamma);
      for (let j = 0; j < beta.length; j++) {
        this.objective -= 0.5 * prior.precision[j]! * (beta[j]! - prior.mean[j]!) ** 2;
      }
    }
  }

  /** Score at gamma, then `factor` and `inverse` of the full information; false when that is singular. */
  differentiate(gamma: Float64Array): boolean {
    const { basis, passes, trials, firth, prior } = this.problem;
    const { rows, rank, q } = basis;
    const { score, factor, inverse } = this;
    score.fill(0);
    if (firth) choleskyInverse(factor, rank, inverse);
    for (let i = 0; i < rows; i++) {
      const chance = logisticChance(this.eta[i]!);
      let residual = passes[i]! - trials[i]! * chance;
      if (firth) {
        let leverage = 0;
        for (let a = 0; a < rank; a++) {
          let sum = 0;
          for (let b = 0; b < rank; b++) sum += inverse[a * rank + b]! * q[i * rank + b]!;
          leverage += sum * q[i * rank + a]!;
        }
        residual += this.weight[i]! * leverage * (0.5 - chance);
      }
      for (let k = 0; k < rank; k++) score[k]! += residual * q[i * rank + k]!;
    }
    if (prior !== undefined) {
      const beta = coefficientsOf(basis, gamma);
      const pull = beta.map((value, j) => prior.precision[j]! * (prior.mean[j]! - value));
      const direction = directionOf(basis, pull);
      for (let k = 0; k < rank; k++) score[k]! += direction[k]!;
    }
    factor.set(this.information);
    if (this.priorInformation !== undefined) {
      for (let k = 0; k < factor.length; k++) factor[k]! += this.priorInformation[k]!;
    }
    if (!choleskyInPlace(factor, rank)) return false;
    choleskyInverse(factor, rank, inverse);
    return true;
  }

  /** Squared length of a step in units of the standard errors, at the point last differentiated. */
  squaredLength(step: Float64Array): number {
    const { rank } = this.problem.basis;
    let sum = 0;
    for (let a = 0; a < rank; a++) {
      for (let b = 0; b <= a; b++) {
        const k = a * rank + b;
        const value = this.information[k]! + (this.priorInformation?.[k] ?? 0);
        sum += (a === b ? 1 : 2) * step[a]! * value * step[b]!;
      }
    }
    return sum;
  }
}
