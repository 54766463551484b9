import type { ResponseLink } from "./response-link.js";

/** The sums by which hidden quantities make up the measured responses, on the links' scales. */
export interface ResponseSums {
  /** Writes the responses at a point from its hidden quantities. */
  readonly means: (point: Float64Array, hidden: Float64Array, into: Float64Array) => void;
  /** Adds to a covariance of the responses, row by row, what independent latents of these variances do to it. */
  readonly addVariances: (into: Float64Array, variance: (l: number) => number) => void;
  /** How much a covariance of latents `first` and `second` adds to that of responses `a` and `b`. */
  readonly share: (pair: LatentPair, a: number, b: number) => number;
  /** Row of coefficients, one per latent, of each response. */
  readonly coefficients: readonly Float64Array[];
}

/** Two latents. */
interface LatentPair {
  readonly first: number;
  readonly second: number;
}

/** Makes the sums ready for many points. */
export function makeResponseSums(links: readonly ResponseLink[]): ResponseSums {
  const responses = links.length;
  const coefficients = links.map((link) => Float64Array.from(link.coefficients));
  const offsets = links.map(({ offset }) => [offset.constant, Float64Array.from(offset.slopes)] as const);
  return {
    coefficients,
    means(point, hidden, into) {
      for (let r = 0; r < responses; r++) {
        const [constant, slopes] = offsets[r]!;
        let value = constant;
        for (let j = 0; j < slopes.length; j++) value += slopes[j]! * point[j]!;
        const row = coefficients[r]!;
        for (let l = 0; l < row.length; l++) value += row[l]! * hidden[l]!;
        into[r] = value;
      }
    },
    addVariances(into, variance) {
      for (let a = 0; a < responses; a++) {
        for (let b = 0; b < responses; b++) {
          const [one, other] = [coefficients[a]!, coefficients[b]!];
          let sum = 0;
          for (let l = 0; l < one.length; l++) sum += one[l]! * other[l]! * variance(l);
          into[a * responses + b]! += sum;
        }
      }
    },
    share({ first, second }, a, b) {
      const [one, other] = [coefficients[a]!, coefficients[b]!];
      return one[first]! * other[second]! + one[second]! * other[first]!;
    },
  };
}
