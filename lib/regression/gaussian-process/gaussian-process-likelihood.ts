import {
  choleskyInverse,
  choleskyLogDeterminant,
  choleskySolve,
  choleskyWithJitter,
} from "../../numeric/index.js";
import type { SettingMeans } from "./gaussian-process-data.js";

const SQRT5 = Math.sqrt(5);

/** The numbers that make up a fitted process. */
export interface ProcessParameters {
  /** Per column, as a share of the side of the box. */
  readonly lengthScales: readonly number[];
  readonly signalVariance: number;
  /** Variance of one measurement around the surface. */
  readonly noiseVariance: number;
}

/** A normal belief about the logarithm of a hyperparameter. */
export interface LogNormalPrior {
  readonly median: number;
  /** Standard deviation of the natural logarithm. */
  readonly logSd: number;
}

/** Beliefs about length scales (shares of the box) and the ratio of noise to signal variance. */
export interface ProcessPriors {
  readonly lengthScale: LogNormalPrior;
  readonly noiseRatio: LogNormalPrior;
}

/** What the likelihood at one set of hyperparameters leaves behind. */
export interface ProcessState {
  /** Log marginal likelihood of all measurements. */
  readonly logLikelihood: number;
  readonly signalVariance: number;
  readonly constant: number;
  /** Added to the diagonal of the correlation matrix to keep it positive definite. */
  readonly jitter: number;
}

/**
 * Log marginal likelihood of a Matern 5/2 process with one length scale per column, in
 * theta = (ln l_1, ..., ln l_d, ln eta), eta = noise variance / signal variance. Signal variance and
 * constant are at their maximum for each theta, so they need no search.
 *
 *     A = R + diag(eta / n_i),   s^2 = (r' A^-1 r + within / eta) / N,   r = means - constant
 *     ln L = -[N ln(2 pi s^2) + N + ln |A| + (N - m) ln eta + sum ln n_i] / 2
 *
 * Repeats enter through their means, counts and the sum of squares within, so m settings cost m^3,
 * however many measurements they carry.
 */
export class ProcessLikelihood {
  private readonly m: number;
  /** Squared differences per dimension and pair i > j. */
  private readonly squares: readonly Float64Array[];
  /** Per pair: squared distance in length scales, then the radial part of the derivatives. */
  private readonly radial: Float64Array;
  private readonly matrix: Float64Array;
  private readonly inverse: Float64Array;
  private readonly ones: Float64Array;
  private readonly logCounts: number;
  private readonly floor: number;
  /** Factor of A and A^-1 r of the last evaluation. */
  readonly factor: Float64Array;
  readonly alpha: Float64Array;

  /**
   * @param fixedConstant - the constant, where it is known; otherwise estimated
   * @param fixedSignal - the signal variance, where it is known; otherwise estimated
   */
  constructor(
    private readonly data: SettingMeans,
    readonly fixedConstant: number | undefined,
    private readonly fixedSignal?: number,
  ) {
    const { points, dimensions: d, counts } = data;
    const m = counts.length;
    this.m = m;
    const pairs = (m * (m - 1)) / 2;
    this.radial = new Float64Array(pairs);
    this.squares = Array.from({ length: d }, (_, k) => {
      const squares = new Float64Array(pairs);
      let pair = 0;
      for (let i = 1; i < m; i++) {
        for (let j = 0; j < i; j++) {
          const difference = points[i * d + k]! - points[j * d + k]!;
          squares[pair++] = difference * difference;
        }
      }
      return squares;
    });
    this.matrix = new Float64Array(m * m);
    this.factor = new Float64Array(m * m);
    this.inverse = new Float64Array(m * m);
    this.alpha = new Float64Array(m);
    this.ones = new Float64Array(m);
    this.logCounts = counts.reduce((sum, n) => sum + Math.log(n), 0);
    // Data that do not vary at all must not send the signal variance to 0.
    const largest = data.means.reduce((most, value) => Math.max(most, Math.abs(value)), 0);
    this.floor = data.total * ((largest === 0 ? 1 : largest) * 1e-10) ** 2;
  }

  /** Evaluates at theta; with a gradient array, writes d ln L / d theta. NaN when A cannot be factored. */
  evaluate(theta: Float64Array, gradient?: Float64Array): ProcessState {
    const { m, data, matrix, factor, alpha, ones } = this;
    const { counts, means, within, total, dimensions } = data;
    const eta = Math.exp(theta[dimensions]!);
    this.fillCorrelations(theta);
    for (let i = 0; i < m; i++) matrix[i * m + i] = 1 + eta / counts[i]!;
    const jitter = choleskyWithJitter(matrix, factor, m);
    if (Number.isNaN(jitter)) {
      return { logLikelihood: Number.NaN, signalVariance: Number.NaN, constant: Number.NaN, jitter };
    }
    let constant = this.fixedConstant ?? 0;
    if (this.fixedConstant === undefined) {
      ones.fill(1);
      choleskySolve(factor, m, ones);
      let top = 0;
      let bottom = 0;
      for (let i = 0; i < m; i++) {
        top += ones[i]! * means[i]!;
        bottom += ones[i]!;
      }
      constant = top / bottom;
    }
    for (let i = 0; i < m; i++) alpha[i] = means[i]! - constant;
    choleskySolve(factor, m, alpha);
    let quadratic = within / eta;
    for (let i = 0; i < m; i++) quadratic += alpha[i]! * (means[i]! - constant);
    quadratic = Math.max(quadratic, this.floor);
    const signalVariance = this.fixedSignal ?? quadratic / total;
    const logLikelihood =
      -0.5 *
      (total * Math.log(2 * Math.PI * signalVariance) +
        quadratic / signalVariance +
        choleskyLogDeterminant(factor, m) +
        (total - m) * theta[dimensions]! +
        this.logCounts);
    if (gradient !== undefined) this.differentiate({ theta, gradient, eta, signalVariance });
    return { logLikelihood, signalVariance, constant, jitter };
  }

  private fillCorrelations(theta: Float64Array): void {
    const { m, squares, radial, matrix } = this;
    radial.fill(0);
    squares.forEach((square, k) => {
      const scale = Math.exp(-2 * theta[k]!);
      for (let pair = 0; pair < square.length; pair++) radial[pair]! += scale * square[pair]!;
    });
    let pair = 0;
    for (let i = 1; i < m; i++) {
      for (let j = 0; j < i; j++) {
        const a = SQRT5 * Math.sqrt(radial[pair]!);
        const decay = Math.exp(-a);
        matrix[i * m + j] = (1 + a + (a * a) / 3) * decay;
        radial[pair++] = (5 / 3) * (1 + a) * decay;
      }
    }
  }

  /**
   * d ln L / d theta_k = sum over pairs of (alpha alpha' / s^2 - A^-1)_ij dA_ij / d theta_k, with
   * d R_ij / d ln l_k = 5/3 (1 + a) exp(-a) (delta_k / l_k)^2.
   */
  private differentiate({
    theta,
    gradient,
    eta,
    signalVariance,
  }: {
    readonly theta: Float64Array;
    readonly gradient: Float64Array;
    readonly eta: number;
    readonly signalVariance: number;
  }): void {
    const { m, squares, radial, factor, inverse, alpha } = this;
    const { dimensions: d, counts, within, total } = this.data;
    choleskyInverse(factor, m, inverse);
    let pair = 0;
    for (let i = 1; i < m; i++) {
      const scaled = alpha[i]! / signalVariance;
      for (let j = 0; j < i; j++) radial[pair++]! *= scaled * alpha[j]! - inverse[i * m + j]!;
    }
    squares.forEach((square, k) => {
      let sum = 0;
      for (let at = 0; at < square.length; at++) sum += radial[at]! * square[at]!;
      gradient[k] = sum * Math.exp(-2 * theta[k]!);
    });
    let noise = within / (eta * signalVariance) - (total - m);
    for (let i = 0; i < m; i++) {
      noise += (eta * ((alpha[i]! * alpha[i]!) / signalVariance - inverse[i * m + i]!)) / counts[i]!;
    }
    gradient[d] = 0.5 * noise;
  }
}

/** Log density of the priors on theta, up to a constant; adds its gradient. */
export function addLogPrior(priors: ProcessPriors, theta: Float64Array, gradient: Float64Array): number {
  let sum = 0;
  for (let k = 0; k < theta.length; k++) {
    const { median, logSd } = k < theta.length - 1 ? priors.lengthScale : priors.noiseRatio;
    const z = (theta[k]! - Math.log(median)) / logSd;
    sum -= 0.5 * z * z;
    gradient[k]! -= z / logSd;
  }
  return sum;
}
