import type { Finding } from "../../errors/index.js";
import { significant } from "../../numeric/index.js";
import type { Bounds, ConvergedFit, Interval, Model } from "../common/index.js";
import { tFactor, tIntervals } from "../common/index.js";
import { holdingParameter, type Minimum } from "./held-fits.js";
import { ProfileCurve } from "./profile-curve.js";
import { findEnd, type OpenReason, type ProfileEnd } from "./profile-end.js";
import { minimumFrom } from "./profile-minimum.js";

/** One point of a profile: the best sum of squares with one parameter held. */
export interface ProfilePoint {
  readonly value: number;
  /** sign x sqrt((S(value) - S_min) / s^2): a straight line in `value` where the symmetric interval is right. */
  readonly tau: number;
}

export interface ProfileInterval extends Interval {
  /** No end was found below: `lower` is only as far as was looked. */
  readonly openBelow: boolean;
  /** No end was found above: `upper` is only as far as was looked. */
  readonly openAbove: boolean;
  /** A fit with the parameter held came out below the fit itself, which therefore is not the best minimum. */
  readonly foundLower: boolean;
  /** That better minimum, where it could be reached; estimate and ends are then those about it. */
  readonly better?: { readonly estimates: readonly number[]; readonly rss: number };
  /** The points tried, in order of value: plot tau against value. */
  readonly profile: readonly ProfilePoint[];
  /** Open ends with their reason, and a better minimum. */
  readonly findings: readonly Finding[];
}

export interface ProfileOptions {
  /** Default 0.95. */
  readonly level?: number;
  /** The bounds the fit was made with. */
  readonly bounds?: Bounds;
  /** Which parameters. Default: all that are not at a bound. */
  readonly parameters?: readonly string[];
}

/** A held fit this much below the minimum has found another one; less is rounding. */
const BEATEN = 1e-6;
/** Better minima followed before the best so far is taken. */
const MOVES = 4;

/** Residuals this small beside the data are rounding. */
const ROUNDING = 1e-11;

function hasNoScatter({ residualSd, observations: { y, weights } }: ConvergedFit): boolean {
  const size = y.reduce((sum, value, i) => sum + (weights?.[i] ?? 1) * value * value, 0);
  return residualSd <= ROUNDING * Math.sqrt(size / y.length);
}

/** The intervals of a fit without scatter, whose sum of squares is too rough to follow. */
function ofRounding(fit: ConvergedFit, wanted: readonly string[], level: number): ProfileInterval[] {
  return tIntervals(fit, { level })
    .filter(({ name }) => wanted.includes(name))
    .map((interval) => ({
      ...interval,
      openBelow: false,
      openAbove: false,
      foundLower: false,
      profile: [{ value: interval.estimate, tau: 0 }],
      findings: [],
    }));
}

interface Profile {
  readonly curve: ProfileCurve;
  readonly below: ProfileEnd;
  readonly above: ProfileEnd;
}

function openFinding({
  name,
  side,
  value,
  reason,
}: {
  readonly name: string;
  readonly side: "lower" | "upper";
  readonly value: number;
  readonly reason: OpenReason;
}): Finding {
  const at = significant(value);
  const why: Record<OpenReason, string> = {
    "at-bound": `the fit is no worse than allowed as far as its bound ${at}`,
    "levels-off": `the fit gets no worse beyond ${at}`,
    "not-followed": `beyond ${at} the fits with it held did not converge`,
  };
  return {
    code: "open-end",
    severity: "warning",
    message: `the interval of ${name} has no ${side} end: ${why[reason]}`,
    advice: "measure where the parameter matters, or fix it; read the other end as a one-sided limit",
    about: [name],
  };
}

function betterFinding(name: string): Finding {
  return {
    code: "better-minimum",
    severity: "warning",
    message: `a fit with ${name} held came out below the fit itself: that one was not the best minimum`,
    advice: "fit again from `better.estimates`, or with more `starts`",
    about: [name],
  };
}

/**
 * Profile-likelihood intervals: all values of a parameter at which the best fit with it held is not significantly worse.
 * Right also where the model is curved; follows a change of scale of the parameter. An end is given as closed only where
 * the held fit converged and other starts found no better one; open ends are said, with the reason. When a held fit finds
 * a lower minimum than the fit, the intervals are those about that minimum, and `better` holds it.
 *
 *     tau(v) = sign(v - estimate) sqrt((S(v) - S_min) / s^2),   ends at |tau| = t(level, df)
 *
 * @source Bates and Watts (1988) chapter 6
 */
export function profileIntervals(
  fit: ConvergedFit,
  model: Model,
  options: ProfileOptions = {},
): ProfileInterval[] {
  const level = options.level ?? 0.95;
  const target = tFactor(level, fit.df);
  const { bounds } = options;
  const wanted = options.parameters ?? fit.parameters;
  if (hasNoScatter(fit)) return ofRounding(fit, wanted, level);
  const places = fit.parameters.flatMap((name, j) =>
    wanted.includes(name) && fit.standardErrors[j] !== 0 ? [j] : [],
  );
  const trace = (minimum: Minimum, j: number): Profile => {
    const curve = new ProfileCurve(minimum, holdingParameter({ fit, model, j, minimum }), bounds);
    const step = 0.4 * target * minimum.standardErrors[j]!;
    const end = (side: 1 | -1): ProfileEnd =>
      findEnd({
        curve,
        side,
        step,
        target,
        limit: (side < 0 ? bounds?.lower?.[j] : bounds?.upper?.[j]) ?? side * Number.POSITIVE_INFINITY,
      });
    return { curve, below: end(-1), above: end(1) };
  };
  /** The lowest point of a profile, where it lies below the minimum the profile was taken about. */
  const beaten = ({ curve }: Profile): readonly number[] | undefined => {
    const { minimum, points } = curve;
    const least = points.reduce((a, b) => (b.height < a.height ? b : a));
    const fall = Math.min(0, least.height) ** 2 * minimum.residualSd ** 2;
    if (!(fall > BEATEN * minimum.rss)) return undefined;
    const j = fit.parameters.indexOf(nameOf.get(curve)!);
    const theta = [...least.rest];
    theta.splice(j, 0, least.value);
    return theta;
  };
  const nameOf = new Map<ProfileCurve, string>();
  const namesBeaten = new Set<string>();
  let minimum: Minimum = fit;
  let profiles: Profile[] = [];
  for (let move = 0; ; move++) {
    profiles = places.map((j) => {
      const profile = trace(minimum, j);
      nameOf.set(profile.curve, fit.parameters[j]!);
      return profile;
    });
    const lower = profiles.flatMap((profile) => {
      const theta = beaten(profile);
      if (theta === undefined) return [];
      namesBeaten.add(nameOf.get(profile.curve)!);
      return [theta];
    });
    const next = move < MOVES ? minimumFrom({ fit, model, bounds, points: lower }) : undefined;
    if (next === undefined || !(next.rss < minimum.rss * (1 - BEATEN))) break;
    minimum = next;
  }
  const better = minimum === fit ? {} : { better: { estimates: minimum.estimates, rss: minimum.rss } };
  return places.map((j, place) => {
    const name = fit.parameters[j]!;
    const { curve, below, above } = profiles[place]!;
    const estimate = minimum.estimates[j]!;
    const foundLower = minimum !== fit || namesBeaten.has(name);
    return {
      name,
      estimate,
      lower: below.value,
      upper: above.value,
      level,
      openBelow: below.open !== undefined,
      openAbove: above.open !== undefined,
      foundLower,
      ...better,
      profile: curve.points
        .map(({ value, height }) => ({
          value,
          tau: (value < estimate ? -1 : 1) * Math.max(0, height),
        }))
        .sort((a, b) => a.value - b.value),
      findings: [
        ...(foundLower ? [betterFinding(name)] : []),
        ...(below.open === undefined
          ? []
          : [openFinding({ name, side: "lower", value: below.value, reason: below.open })]),
        ...(above.open === undefined
          ? []
          : [openFinding({ name, side: "upper", value: above.value, reason: above.open })]),
      ],
    };
  });
}
