import { chiSquareQuantile, logGamma, normalQuantile } from "../distributions/index.js";
import { choleskyInPlace, choleskyInverse } from "../matrices/index.js";
import { sobolPoints } from "../random/index.js";
import { minimiseBounded } from "../search/index.js";

/** A density on standard normal coordinates, explored. */
export interface Explored {
  readonly points: readonly Float64Array[];
  /** Log of density over proposal, point by point; their mean exponential is the evidence. */
  readonly logWeights: readonly number[];
}

/** Where a likelihood times a standard normal prior is highest, and how it falls off around. */
export interface Peak {
  readonly at: Float64Array;
  /** Lower triangle of the Cholesky factor of the covariance, row by row in n x n numbers. */
  readonly factor: Float64Array;
  /** Laplace's approximation of the log evidence. */
  readonly logEvidence: number;
}

/** Coordinates further out than this have no chance to speak of. */
const FAR = 6;
const STEP = 2e-3;

/**
 * Finds the peak of logLikelihood(z) times the standard normal density of z, by numerical slopes. Of several peaks it finds
 * one near the start.
 *
 * @param start - as many coordinates as z has, in standard deviations
 */
export function findPeak(logLikelihood: (z: Float64Array) => number, start: readonly number[]): Peak {
  const n = start.length;
  const loss = (z: Float64Array): number => {
    let squares = 0;
    for (let i = 0; i < n; i++) squares += z[i]! * z[i]!;
    const value = 0.5 * squares - logLikelihood(z);
    return Number.isFinite(value) ? value : 1e12;
  };
  const trial = new Float64Array(n);
  const { x } = minimiseBounded(
    (z, gradient) => {
      trial.set(z);
      for (let i = 0; i < n; i++) {
        trial[i] = z[i]! + STEP;
        const above = loss(trial);
        trial[i] = z[i]! - STEP;
        gradient[i] = (above - loss(trial)) / (2 * STEP);
        trial[i] = z[i]!;
      }
      return loss(trial);
    },
    start,
    {
      lower: new Array<number>(n).fill(-FAR),
      upper: new Array<number>(n).fill(FAR),
      gradientTolerance: 1e-3,
      valueTolerance: 1e-6,
      maxIterations: 40,
    },
  );
  const at = Float64Array.from(x);
  const least = loss(at);
  const shifted = ({
    i,
    a,
    j,
    b,
  }: {
    readonly i: number;
    readonly a: number;
    readonly j: number;
    readonly b: number;
  }): number => {
    trial.set(at);
    trial[i]! += a;
    trial[j]! += b;
    return loss(trial);
  };
  const hessian = new Float64Array(n * n);
  for (let i = 0; i < n; i++) {
    const [up, down] = [shifted({ i, a: STEP, j: i, b: 0 }), shifted({ i, a: -STEP, j: i, b: 0 })];
    // Where the likelihood is hollow the prior alone must hold the proposal together.
    hessian[i * n + i] = Math.max(0.2, (up + down - 2 * least) / STEP ** 2);
    for (let j = 0; j < i; j++) {
      hessian[i * n + j] =
        (shifted({ i, a: STEP, j, b: STEP }) -
          shifted({ i, a: STEP, j, b: -STEP }) -
          shifted({ i, a: -STEP, j, b: STEP }) +
          shifted({ i, a: -STEP, j, b: -STEP })) /
        (4 * STEP ** 2);
    }
  }
  const { factor, logDeterminant } = covarianceFactor(hessian, n);
  return { at, factor, logEvidence: -least + logDeterminant };
}

/** Cholesky factor of a Hessian's inverse; correlations are dropped where they leave it indefinite. */
function covarianceFactor(
  hessian: Float64Array,
  n: number,
): { readonly factor: Float64Array; readonly logDeterminant: number } {
  const tried = hessian.slice();
  if (!choleskyInPlace(tried, n)) {
    tried.fill(0);
    for (let i = 0; i < n; i++) tried[i * n + i] = Math.sqrt(hessian[i * n + i]!);
  }
  const factor = new Float64Array(n * n);
  choleskyInverse(tried, n, factor);
  choleskyInPlace(factor, n);
  let logDeterminant = 0;
  for (let i = 0; i < n; i++) logDeterminant += Math.log(factor[i * n + i]!);
  return { factor, logDeterminant };
}

/** Degrees of freedom of the proposal: tails heavier than any likelihood's. */
const TAIL = 5;
/** One point in so many comes from the prior, so that no region goes unseen; odd, so that Sobol points thin evenly. */
const DEFENCE = 5;

/** Standard points: normal coordinates and the stretch of a t distribution, the same every time. */
const standardPoints = new Map<string, readonly { readonly z: Float64Array; readonly stretch: number }[]>();

function pointsOf(dimensions: number, count: number) {
  const key = `${dimensions}/${count}`;
  let points = standardPoints.get(key);
  if (points === undefined) {
    points = sobolPoints(count, dimensions + 1, 1).map((row) => ({
      z: Float64Array.from(row.slice(0, dimensions), (u) => normalQuantile(u)),
      stretch: Math.sqrt(TAIL / chiSquareQuantile(row[dimensions]!, TAIL)),
    }));
    standardPoints.set(key, points);
  }
  return points;
}

/**
 * Importance sampling around a peak: a multivariate t that follows the peak, mixed with the prior.
 *
 * @source Geweke, Econometrica 57 (1989) 1317; Hesterberg, Technometrics 37 (1995) 185 (defensive mixture), from memory
 */
export function exploreAround(
  logLikelihood: (z: Float64Array) => number,
  peak: Peak,
  count: number,
): Explored {
  const { at, factor } = peak;
  const n = at.length;
  const points = pointsOf(n, count).map(({ z, stretch }, k) => {
    if (k % DEFENCE === 0) return z;
    return at.map((centre, i) => {
      let value = centre;
      for (let j = 0; j <= i; j++) value += stretch * factor[i * n + j]! * z[j]!;
      return value;
    });
  });
  const share = Math.ceil(count / DEFENCE) / count;
  let logFactor = 0;
  for (let i = 0; i < n; i++) logFactor += Math.log(factor[i * n + i]!);
  // Both densities over (2 pi)^(-n/2), which cancels against the prior's.
  const tConstant = tScale(n) - logFactor;
  const solved = new Float64Array(n);
  const logWeights = points.map((z) => {
    let [distance, squares] = [0, 0];
    for (let i = 0; i < n; i++) {
      let value = z[i]! - at[i]!;
      for (let j = 0; j < i; j++) value -= factor[i * n + j]! * solved[j]!;
      solved[i] = value / factor[i * n + i]!;
      distance += solved[i]! ** 2;
      squares += z[i]! ** 2;
    }
    const near = (1 - share) * Math.exp(tConstant - 0.5 * (TAIL + n) * Math.log1p(distance / TAIL));
    const prior = Math.exp(-0.5 * squares);
    const value = logLikelihood(z) - 0.5 * squares - Math.log(near + share * prior);
    return Number.isFinite(value) ? value : Number.NEGATIVE_INFINITY;
  });
  return { points, logWeights };
}

/** Log of Gamma((v + n)/2) / (Gamma(v/2) (v/2)^(n/2)): a t density's constant over a normal one's. */
function tScale(n: number): number {
  return logGamma((TAIL + n) / 2) - logGamma(TAIL / 2) - (n / 2) * Math.log(TAIL / 2);
}

/**
 * Places of a list of weighed items that stand for them with equal chance: systematic resampling in their order, from the
 * middle of each part, so that nothing is drawn at random.
 *
 * @param weights - none negative; they need not sum to 1
 * @returns `count` indices, in rising order
 * @example resample([1, 3], 4) // => [0, 1, 1, 1]
 */
export function resample(weights: readonly number[], count: number): readonly number[] {
  const total = weights.reduce((sum, weight) => sum + weight, 0);
  let [place, below] = [0, 0];
  return Array.from({ length: count }, (_, i) => {
    const wanted = (total * (i + 0.5)) / count;
    while (place < weights.length - 1 && below + weights[place]! < wanted) below += weights[place++]!;
    return place;
  });
}
