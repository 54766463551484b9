import { requireNumber } from "../../errors/index.js";
import { dwellTime } from "../../process/index.js";
import { fitNonlinear, profileIntervals } from "../../regression/index.js";
import { crossingModel } from "./decay-model.js";
import { boundsOf, profileBounds, rangeOf } from "./decay-ranges.js";
import type { FittedDecay } from "./types.js";

/** When a decay reaches a level, counted from time 0. */
export interface LevelTime {
  readonly target: number;
  /** Null when the estimated floor lies at or above the target. */
  readonly estimate: number | null;
  /** Null where the readings set no limit: for `upper`, the target may never be reached. */
  readonly lower: number | null;
  readonly upper: number | null;
  /** `unsure`: the limits of the floor lie on both sides of the target. */
  readonly reach: "reached" | "unsure" | "never";
}

/**
 * Time at which a fitted decay reaches a level, with limits by profile likelihood of that time.
 *
 *     t = tau ln((start - floor)/(target - floor))
 *
 * The limits hold for the decay that was logged; the next one scatters by more.
 */
export function timeToLevel(decay: FittedDecay, target: number): LevelTime {
  const { floor, start, timeConstant, form, kind, level, fit } = decay;
  requireNumber(`${kind.quantity} wanted`, target, { unit: kind.unit });
  if (start.estimate <= target) return { target, estimate: 0, lower: 0, upper: 0, reach: "reached" };
  if (floor.estimate >= target) {
    const never = floor.lower !== null && floor.lower >= target;
    return { target, estimate: null, lower: null, upper: null, reach: never ? "never" : "unsure" };
  }
  const estimate = dwellTime({
    from: start.estimate,
    to: target,
    surroundings: floor.estimate,
    timeConstant: timeConstant.estimate,
  });
  const model = crossingModel(form, target);
  const { lower, upper } = boundsOf(kind, form);
  // The floor stays below the target, where the curve has a crossing.
  const highest = target - 1e-9 * (start.estimate - target);
  const bounds = profileBounds(fit, {
    lower,
    upper: form.floor === undefined ? [highest, ...upper.slice(1)] : upper,
  });
  const inner = [estimate, 1 / timeConstant.estimate];
  const again = fitNonlinear(fit.observations, model, {
    start: form.floor === undefined ? [floor.estimate, ...inner] : inner,
    bounds,
  });
  const [profile] =
    again.status === "converged"
      ? profileIntervals(again, model, { level, bounds, parameters: ["crossing"] })
      : [];
  const range = rangeOf(profile, estimate);
  const unsure = floor.upper === null || floor.upper >= target;
  return {
    target,
    estimate,
    lower: range.lower === null ? null : Math.max(0, range.lower),
    upper: unsure ? null : range.upper,
    reach: unsure ? "unsure" : "reached",
  };
}
