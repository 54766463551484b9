import {
  type Confounding,
  confounding,
  gaveDimensions,
  type OutcomeModel,
  toCoordinates,
} from "../models/index.js";
import { innerProduct, quadraticForm } from "../numeric/index.js";
import type { Coupon } from "../study/index.js";
import type { BestSearch } from "./best-setting.js";
import type { Scored } from "./pool.js";

/** Settings that moved together in the coupons measured, and coupons that would part them. */
export interface Parting {
  /** Factors whose effects those coupons can hardly tell apart. */
  readonly factors: readonly string[];
  /** How many coupons were measured. */
  readonly measured: number;
  /** Coupons to run, the one that tells most first. */
  readonly picks: readonly Scored[];
}

/**
 * Variance inflation from which settings have to be parted, and coupons measured per setting below which few coupons are all
 * there is to it: when exploring, and when hitting the specification, for which coupons keep to a ridge anyway.
 */
export const TANGLED = { explore: { limit: 5, perFactor: 1 }, hit: { limit: 50, perFactor: 2 } } as const;
/** What a setting does over half its range before any coupon, in standard deviations of the scatter. */
const PRIOR_SD = 5;
/** A coupon must be expected to tell so much of the most it could, to be worth its price for that alone. */
const LEAST_TELLING = 0.02;
const CANDIDATES = 1500;

/**
 * Coupons that part settings which moved together: one by one the setting at which a coupon is expected to tell most about
 * straight effects, ln(1 + f'Cf) times its chance to survive, until no setting's variance is inflated beyond the limit. C is
 * the covariance that the coupons measured and those picked before leave.
 *
 * @returns undefined where nothing is tangled, or nothing parts it
 * @source sequential D-optimality, W. J. Dykstra, Technometrics 13 (1971) 682 (from memory)
 */
export function partingCoupons(
  model: OutcomeModel,
  { pool, chances }: BestSearch,
  {
    logged,
    tangled,
    count,
  }: {
    readonly logged: readonly Coupon[];
    readonly tangled: { readonly limit: number; readonly perFactor: number };
    readonly count: number;
  },
): Parting | undefined {
  const measured = logged.filter((coupon) => coupon.state === "logged" && gaveDimensions(model, coupon));
  const { factors: all } = model.definition;
  if (count === 0 || measured.length < tangled.perFactor * all.length + 2) return undefined;
  const together = confounding({ definition: model.definition, coupons: measured });
  if (mostInflated(together) <= tangled.limit) return undefined;
  const factors = tangledFactors(together);
  const known = measured.map(({ settings }) => rowOf(model, toCoordinates(model.coordinates, settings)));
  const effects = new StraightEffects(known[0]!.length);
  for (const row of known) effects.learn(row, 1);
  const watched = model.coordinates.flatMap(({ factor }, j) => (factors.includes(factor) ? [j + 1] : []));
  const stride = Math.max(1, Math.ceil(pool.length / CANDIDATES));
  const candidates = pool
    .filter((_, i) => i % stride === 0)
    .map((scored) => {
      const here = chances.predictor.at(scored.coordinates);
      const survival = model.checks.reduce((product, _, c) => product * here.pass(c), 1);
      return { scored, survival, row: rowOf(model, scored.coordinates) };
    });
  const most = Math.log1p(PRIOR_SD ** 2);
  const picks: Scored[] = [];
  while (picks.length < count && effects.inflation(watched) > TANGLED.explore.limit) {
    let best: { readonly candidate: (typeof candidates)[number]; readonly telling: number } | undefined;
    for (const candidate of candidates) {
      const telling = candidate.survival * Math.log1p(effects.doubt(candidate.row));
      if (best === undefined || telling > best.telling) best = { candidate, telling };
    }
    if (best === undefined || best.telling < LEAST_TELLING * most) break;
    const { scored, row, survival } = best.candidate;
    picks.push(scored);
    effects.learn(row, survival);
  }
  return picks.length === 0 ? undefined : { factors, measured: measured.length, picks };
}

const mostInflated = ({ inflation }: Confounding): number =>
  Math.max(0, ...inflation.map((entry) => entry.inflation));

function tangledFactors({ findings, inflation }: Confounding): readonly string[] {
  return (
    findings[0]?.about ??
    inflation.filter((entry) => entry.inflation > TANGLED.explore.limit).map(({ factor }) => factor)
  );
}

/** Mean and straight effects at a point, half a range being 1. */
function rowOf({ coordinates }: OutcomeModel, point: Float64Array): Float64Array {
  return Float64Array.from([1, ...coordinates.map(({ half }, j) => (half > 0 ? point[j]! / half : 0))]);
}

/** What is known of straight effects, as coupons are added. */
class StraightEffects {
  readonly #covariance: readonly Float64Array[];
  readonly #rows: { readonly row: Float64Array; readonly weight: number }[] = [];

  constructor(size: number) {
    this.#covariance = Array.from({ length: size }, (_, i) => {
      const line = new Float64Array(size);
      line[i] = PRIOR_SD ** 2 * (i === 0 ? 100 : 1);
      return line;
    });
  }

  /** Variance of the mean foreseen at a row over that of a coupon. */
  doubt(row: Float64Array): number {
    return quadraticForm(row, this.#covariance);
  }

  /** Takes in a coupon of which so much is expected to be seen. */
  learn(row: Float64Array, weight: number): void {
    const moved = this.#covariance.map((line) => innerProduct(line, row));
    const share = weight / (1 + weight * this.doubt(row));
    for (const [i, line] of this.#covariance.entries()) {
      for (let j = 0; j < line.length; j++) line[j]! -= share * moved[i]! * moved[j]!;
    }
    this.#rows.push({ row, weight });
  }

  /** Largest variance of some effects over what it would be had the others not moved. */
  inflation(effects: readonly number[]): number {
    const total = this.#rows.reduce((sum, { weight }) => sum + weight, 0);
    return Math.max(
      0,
      ...effects.map((j) => {
        const centre = this.#rows.reduce((sum, { row, weight }) => sum + weight * row[j]!, 0) / total;
        const spread = this.#rows.reduce((sum, { row, weight }) => sum + weight * (row[j]! - centre) ** 2, 0);
        return this.#covariance[j]![j]! * spread;
      }),
    );
  }
}
