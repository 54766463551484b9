import { dot } from "../../numeric/index.js";
import { EXACT } from "./check-chance.js";
import { type Coordinate, settingSdAt } from "./coordinates.js";
import type { DepartureBasis } from "./departure-basis.js";
import type { ResponseLink } from "./response-link.js";

/** What loosely held settings do to the measured responses, to first order, at one point after another. */
export interface SettingNoise {
  /** Takes a point, at which the basis was just evaluated. */
  readonly moveTo: (point: Float64Array) => void;
  /** Variances of what the rig holds along each axis about the point; {@link EXACT} when it holds all exactly. */
  readonly variances: Float64Array;
  /** Covariance of responses `a` and `b`; worked out when asked for. */
  readonly covariance: (a: number, b: number) => number;
}

/** What the noise of settings follows from. */
export interface SettingNoiseParts {
  readonly coordinates: readonly Coordinate[];
  readonly links: readonly ResponseLink[];
  /** Shared with whoever evaluates it. */
  readonly basis: DepartureBasis;
  /** Weights of the basis functions, per latent. */
  readonly weights: readonly Float64Array[];
}

/** Makes the noise of settings ready for many points. */
export function makeSettingNoise({ coordinates, links, basis, weights }: SettingNoiseParts): SettingNoise {
  const moving = coordinates.flatMap((axis, j) => (axis.settingSd > 0 ? [j] : []));
  if (moving.length === 0) return { moveTo: () => undefined, variances: EXACT, covariance: () => 0 };
  const variances = new Float64Array(coordinates.length);
  const gradientOf = weights.map((own) => basis.gradientOf(own));
  // NaN until worked out at the present point: the gradients, and the rows of `looseness`.
  const gradients = weights.map(() => new Float64Array(coordinates.length));
  /** Standard deviation of each response (row) by how loosely each moving axis is held. */
  const looseness = new Float64Array(links.length * moving.length);
  const loosenessOf = (r: number): void => {
    const row = r * moving.length;
    if (!Number.isNaN(looseness[row]!)) return;
    const { coefficients, offset } = links[r]!;
    for (let k = 0; k < moving.length; k++) looseness[row + k] = offset.slopes[moving[k]!]!;
    for (let l = 0; l < weights.length; l++) {
      const coefficient = coefficients[l]!;
      if (coefficient === 0) continue;
      const gradient = gradients[l]!;
      if (Number.isNaN(gradient[0]!)) gradientOf[l]!(gradient);
      for (let k = 0; k < moving.length; k++) looseness[row + k]! += coefficient * gradient[moving[k]!]!;
    }
    for (let k = 0; k < moving.length; k++) looseness[row + k]! *= Math.sqrt(variances[moving[k]!]!);
  };
  return {
    moveTo(point) {
      for (const j of moving) variances[j] = settingSdAt(coordinates[j]!, point[j]!) ** 2;
      looseness.fill(Number.NaN);
      for (const gradient of gradients) gradient[0] = Number.NaN;
    },
    variances,
    covariance(a, b) {
      loosenessOf(a);
      loosenessOf(b);
      return dot(looseness, a * moving.length, looseness, b * moving.length, moving.length);
    },
  };
}
