import { mean } from "../../numeric/index.js";
import type { ScaleName } from "../bead/index.js";
import type { GroupRows } from "./group-rows.js";
import type { AllowedFor, GroupShift, OtherBlocks } from "./group-shift.js";
import type { CouponGroups } from "./groups.js";
import { aimOf, couponsToSettle, type Matter, matterOf, type ScaledSpec } from "./matter.js";

/**
 * What a difference comes to. Against a specification: `matters` (it is there, and more likely than not costs conforming
 * coupons), `may-matter` (it is there), `harmless` (there, and costs none), `alike` (none seen, and none that would cost any),
 * `unsettled` (none seen, but one that costs is not ruled out). Without one: `differs`, `not-seen`.
 */
export type ShiftVerdict =
  | "matters"
  | "may-matter"
  | "harmless"
  | "alike"
  | "unsettled"
  | "differs"
  | "not-seen";

/** How one response differs between two groups at equal settings. Plain data. */
export interface ResponseShift {
  readonly response: string;
  readonly unit: string;
  /** Coupons with a value. */
  readonly coupons: readonly [a: number, b: number];
  /** Value in the first group at which the difference is told: what the specification aims at, else the middle of its coupons. */
  readonly at: number;
  /** Second less first there, in the response's unit, with its interval. */
  readonly difference: number;
  readonly lower: number;
  readonly upper: number;
  /** The same as shares of the value; absent for a response that may be 0 or below. */
  readonly relative?: { readonly difference: number; readonly lower: number; readonly upper: number };
  /** Chance of so large a difference without a cause, allowing for all results compared. */
  readonly p: number;
  readonly verdict: ShiftVerdict;
  /** Standard deviation of single coupons at one setting within a group, in the unit of the response there. */
  readonly scatter: number;
  readonly allowedFor: AllowedFor;
  readonly otherBlocks: OtherBlocks;
  /** On the scale that was compared on: `log` of the value, `half-angle`, or `linear`. */
  readonly scale: ScaleName;
  readonly standardError: number;
  readonly df: number;
  /** Against the specification; absent without one. */
  readonly specification?: {
    /** Chances that a coupon aimed well conforms, in each group at the same settings. */
    readonly conforming: readonly [a: number, b: number];
    /** Chance that the difference costs 5 points of them, or a tenth. */
    readonly chanceItMatters: number;
    /** Largest differences that cost less, in the response's unit; absent where a side costs nothing. */
    readonly tolerated: { readonly lower?: number; readonly upper?: number };
    /** Coupons of each group at one setting that would settle it; absent where it is settled, or 60 were not enough. */
    readonly couponsToSettle?: number;
  };
}

/** Chance below which a difference does not matter, and from which it does. */
const CHANCES = { no: 0.05, yes: 0.5 } as const;

/** The difference of a response as it is told: in its unit, with its verdict. */
export function responseShift(
  { response, scaleName, scale, rows }: GroupRows,
  shift: GroupShift,
  {
    groups: { a, b },
    level,
    reach,
    p,
  }: {
    readonly groups: CouponGroups;
    readonly level: number;
    /** Half-widths of the interval in standard errors. */
    readonly reach: number;
    readonly p: number;
  },
): ResponseShift {
  const { estimate, standardError, df, scatter, allowedFor, otherBlocks } = shift;
  const own = rows.filter(({ label }) => label === a);
  const spec = scaledSpec(response.spec, scaleName, scale.forward);
  const at = spec === undefined ? mean(own.map(({ y }) => y)) : aimOf(spec, scatter);
  const value = scale.back(at);
  const toUnit = (d: number): number => scale.back(at + d) - value;
  const [low, high] = [estimate - reach * standardError, estimate + reach * standardError];
  const seen = low > 0 || high < 0;
  const matter = spec === undefined ? undefined : matterOf(spec, scatter, shift);
  const verdict = verdictOf(seen, matter);
  const settle =
    matter !== undefined && (verdict === "unsettled" || verdict === "may-matter")
      ? couponsToSettle(matter, scatter, level)
      : undefined;
  return {
    response: response.name,
    unit: response.unit,
    coupons: [own.length, rows.filter(({ label }) => label === b).length],
    at: value,
    difference: toUnit(estimate),
    lower: toUnit(low),
    upper: toUnit(high),
    ...(scaleName === "log"
      ? {
          relative: {
            difference: Math.expm1(estimate),
            lower: Math.expm1(low),
            upper: Math.expm1(high),
          },
        }
      : {}),
    p,
    verdict,
    scatter: (toUnit(scatter) - toUnit(-scatter)) / 2,
    allowedFor,
    otherBlocks,
    scale: scaleName,
    standardError,
    df,
    ...(matter === undefined
      ? {}
      : {
          specification: {
            conforming: [matter.before, matter.after],
            chanceItMatters: matter.chance,
            tolerated: {
              ...(matter.tolerated.down === undefined ? {} : { lower: toUnit(-matter.tolerated.down) }),
              ...(matter.tolerated.up === undefined ? {} : { upper: toUnit(matter.tolerated.up) }),
            },
            ...(settle === undefined ? {} : { couponsToSettle: settle }),
          },
        }),
  };
}

function verdictOf(seen: boolean, matter: Matter | undefined): ShiftVerdict {
  if (matter === undefined) return seen ? "differs" : "not-seen";
  if (matter.chance < CHANCES.no) return seen ? "harmless" : "alike";
  if (!seen) return "unsettled";
  return matter.chance >= CHANCES.yes ? "matters" : "may-matter";
}

/** A specification on the scale; an end at or below 0 is none where only positive values are. */
function scaledSpec(
  spec: GroupRows["response"]["spec"],
  scaleName: ScaleName,
  forward: (value: number) => number,
): ScaledSpec | undefined {
  if (spec === undefined) return undefined;
  const onScale = (value: number | undefined): number | undefined =>
    value === undefined || (scaleName !== "linear" && value <= 0) ? undefined : forward(value);
  const [lower, target, upper] = [onScale(spec.lower), onScale(spec.target), onScale(spec.upper)];
  if (lower === undefined && upper === undefined) return undefined;
  return {
    ...(lower === undefined ? {} : { lower }),
    ...(target === undefined ? {} : { target }),
    ...(upper === undefined ? {} : { upper }),
  };
}
