import { findRoot } from "../../numeric/roots/index.js";

/** The top of a likelihood, and its height where a combination of the parameters is held at a value. */
export interface LikelihoodProfile {
  /** The combination at the top, and its standard error there. */
  readonly centre: number;
  readonly standardError: number;
  readonly top: number;
  /**
   * Climbs with the combination held.
   *
   * @param from - a point to start from, where one is known
   */
  climb(
    value: number,
    from: Float64Array | undefined,
  ): { readonly height: number; readonly point: Float64Array };
}

/**
 * Value and standard error of a combination at a point.
 *
 * @param covariance - of the point's coordinates, row by row
 */
export function atPoint(
  direction: Float64Array,
  point: Float64Array,
  covariance: Float64Array,
): Pick<LikelihoodProfile, "centre" | "standardError"> {
  const size = direction.length;
  let centre = 0;
  let variance = 0;
  for (let a = 0; a < size; a++) {
    centre += direction[a]! * point[a]!;
    for (let b = 0; b < size; b++) variance += direction[a]! * covariance[a * size + b]! * direction[b]!;
  }
  return { centre, standardError: Math.sqrt(Math.max(0, variance)) };
}

/** Limits of a combination. */
export interface Limits {
  readonly lower: number;
  readonly upper: number;
}

/** How far a limit is looked for, each step half as long again as all before. */
const MAX_STEPS = 60;

/**
 * Limits where the profile of the objective has fallen by z^2 / 2: the signed root of twice the fall, nearly straight in
 * the combination, is solved for +-z on either side.
 *
 * @param z - two-sided quantile of the level, such as 1.96
 * @source D. J. Venzon and S. H. Moolgavkar, Applied Statistics 37 (1988) 87-94; with Firth's penalty
 *   G. Heinze and M. Schemper, Statistics in Medicine 21 (2002) 2409-2419
 */
export function profileLimits(profile: LikelihoodProfile, z: number): Limits {
  const { centre, standardError, top } = profile;
  if (standardError === 0) return { lower: centre, upper: centre };
  const limit = (side: 1 | -1): number => {
    let warm: Float64Array | undefined;
    const beyond = (distance: number): number => {
      if (distance === 0) return -z;
      const { height, point } = profile.climb(centre + side * distance, warm);
      warm = point;
      return Math.sqrt(2 * Math.max(0, top - height)) - z;
    };
    let near = 0;
    let far = z * standardError;
    for (let tries = 0; tries < MAX_STEPS && beyond(far) < 0; tries++) {
      near = far;
      far *= 1.5;
    }
    return (
      centre + side * findRoot({ f: beyond, lower: near, upper: far, tolerance: 1e-8 * standardError }).x
    );
  };
  return { lower: limit(-1), upper: limit(1) };
}

/** estimate +- z standard errors of the same combination. */
export function waldLimits(
  { centre, standardError }: Pick<LikelihoodProfile, "centre" | "standardError">,
  z: number,
): Limits {
  const reach = z * standardError;
  return { lower: centre - reach, upper: centre + reach };
}
