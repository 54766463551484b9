import { findRoot, tQuantile } from "../../numeric/index.js";
import {
  type ConvergedFit,
  fitNonlinear,
  type Model,
  type ProfileInterval,
  profileIntervals,
} from "../../regression/index.js";
import { type DecayForm, decayModel } from "./decay-model.js";
import type { DecayKind, DecayRange } from "./types.js";

/** Bounds of every parameter of a decay: only the floor has one, where physics gives it. */
export interface DecayBounds {
  readonly lower: readonly number[];
  readonly upper: readonly number[];
}

/** Bounds within which a decay is fitted. */
export function boundsOf({ lowestFloor }: DecayKind, { floor }: DecayForm): DecayBounds {
  const free = floor === undefined ? [lowestFloor ?? Number.NEGATIVE_INFINITY] : [];
  const lower = [...free, Number.NEGATIVE_INFINITY, Number.NEGATIVE_INFINITY];
  return { lower, upper: lower.map(() => Number.POSITIVE_INFINITY) };
}

/**
 * Bounds for profiles: a rate of 0 is a line that never bends, where floor and rise run away; the search stops short
 * of it, at a bend of a thousandth.
 */
export function profileBounds(fit: ConvergedFit, bounds: DecayBounds): DecayBounds {
  const last = Math.max(...fit.observations.x.map(([time]) => time!));
  return { ...bounds, lower: [...bounds.lower.slice(0, -1), 1e-3 / last] };
}

/** The limits of a profile, null where it has no end; without a profile the estimate stands alone. */
export function rangeOf(profile: ProfileInterval | undefined, estimate: number): DecayRange {
  if (profile === undefined) return { estimate, lower: estimate, upper: estimate };
  const { lower, upper, openBelow, openAbove } = profile;
  return { estimate, lower: openBelow ? null : lower, upper: openAbove ? null : upper };
}

/** Floor and time constant with their limits by profile likelihood. */
export function decayRanges(
  fit: ConvergedFit,
  model: Model,
  {
    kind: { lowestFloor },
    form,
    level,
    bounds,
  }: {
    readonly kind: DecayKind;
    readonly form: DecayForm;
    readonly level: number;
    readonly bounds: DecayBounds;
  },
): { readonly floor: DecayRange; readonly timeConstant: DecayRange } {
  const profiles = profileIntervals(fit, model, {
    level,
    bounds: profileBounds(fit, bounds),
    parameters: ["floor", "rate"],
  });
  const rate = rangeOf(
    profiles.find(({ name }) => name === "rate"),
    fit.estimates.at(-1)!,
  );
  const floor =
    form.floor === undefined
      ? rangeOf(
          profiles.find(({ name }) => name === "floor"),
          fit.estimates[0]!,
        )
      : rangeOf(undefined, form.floor);
  return {
    floor: fit.atBound.includes("floor")
      ? { ...floor, upper: floorLimit(fit, form, level) }
      : { ...floor, lower: floor.lower ?? lowestFloor ?? null },
    timeConstant: {
      estimate: 1 / rate.estimate,
      lower: rate.upper === null ? null : 1 / rate.upper,
      upper: rate.lower === null ? null : 1 / rate.lower,
    },
  };
}

/** Upper limit of a floor that sits at its bound: the sum of squares rises from there as in a profile. */
function floorLimit(fit: ConvergedFit, form: DecayForm, level: number): number {
  const allowed = fit.rss * (1 + tQuantile(0.5 + level / 2, fit.df) ** 2 / fit.df);
  const least = fit.observations.y.reduce((a, b) => Math.min(a, b));
  const smallest = form.scatter === "proportional" ? Math.exp(least) : least;
  const excess = (floor: number): number => {
    const held = fitNonlinear(fit.observations, decayModel({ ...form, floor }), {
      start: fit.estimates.slice(1),
      starts: 0,
    });
    return held.rss - allowed;
  };
  const [lowest] = fit.estimates as [number];
  return findRoot({ f: excess, lower: lowest, upper: smallest, tolerance: 1e-6 * (smallest - lowest) }).x;
}
