import { randomStream } from "../../numeric/index.js";
import { centrePoint, type Point, type Region, spreadAllowedPoints } from "../region/index.js";
import type { Candidate } from "../runs/index.js";

/** Chance to survive that coupons of classical and space-filling plans are held to, unless another is stated. */
export const SURVIVAL_LEVEL = 0.5;
/** Where even the safest setting falls short of that, this share of its chance is asked. */
const OF_THE_SAFEST = 0.75;
const LOOKED_AT = 1024;

/** Where coupons of a plan are to survive. */
export interface Haven {
  /** What dead coupons are pulled towards: the centre where it lives, else the safest setting looked at. */
  readonly target: Point;
  /** The chance to survive that is asked of every coupon. */
  readonly level: number;
  /** Whether the target is the centre, and whether the level is the one wanted. */
  readonly atCentre: boolean;
  readonly asWanted: boolean;
}

/** Finds what dead coupons may be pulled towards. */
export function havenOf({
  region,
  allowed,
  wanted,
  seed,
}: {
  readonly region: Region;
  readonly allowed: Point;
  /** Chance to survive asked of every coupon where the rig can give it. */
  readonly wanted: number;
  readonly seed: number;
}): Haven {
  const stream = randomStream(seed).split("haven");
  const middle = centrePoint(region.axes, 0);
  const spread = spreadAllowedPoints({ region, count: LOOKED_AT, start: allowed, seed, stream });
  const safest = spread.reduce((a, b) => (region.lives(b) > region.lives(a) ? b : a));
  const level = Math.min(wanted, OF_THE_SAFEST * region.lives(safest));
  const atCentre = region.allows(middle) && region.lives(middle) >= level;
  return { target: atCentre ? middle : safest, level, atCentre, asWanted: level === wanted };
}

/** Shares of the way to the target that are tried, as many as a hundred settings of an axis need. */
const STEPS = 50;

/**
 * Pulls every coupon that would hardly survive straight towards the haven until its chance reaches the level; categories
 * stay. Where no place on the way does, the safest one on it is taken.
 */
export function bendIntoLife(
  region: Region,
  candidates: readonly Candidate[],
  { target, level }: Haven,
): readonly Candidate[] {
  return candidates.map((candidate) => {
    const { point } = candidate;
    let best = point;
    for (let step = 1; step <= STEPS && region.lives(best) < level; step++) {
      const trial = point.map((at, j) =>
        region.axes[j]!.category ? at : Math.round(at + (step / STEPS) * (target[j]! - at)),
      );
      if (region.allows(trial) && region.lives(trial) > region.lives(best)) best = trial;
    }
    return best === point ? candidate : { ...candidate, point: best, movedFrom: point };
  });
}
