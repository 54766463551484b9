import { BeadbenchError, type Finding, grouped, onlyDefined, requireNumber } from "../../errors/index.js";
import { tCdf, tQuantile } from "../../numeric/index.js";
import {
  type Coupon,
  kindRules,
  matchKind,
  type Response,
  requireCoupons,
  resultOf,
  type StudyData,
} from "../../study/index.js";
import { settingLabels } from "../bead/index.js";
import { outcomeData } from "../outcome-data.js";
import type { LayerSet } from "../physical/index.js";
import { groupFindings } from "./group-findings.js";
import { type GroupRows, groupRows } from "./group-rows.js";
import { type GroupShift, groupShift } from "./group-shift.js";
import type { CouponGroups } from "./groups.js";
import { comparePassRates, type PassTest, type Stratum } from "./pass-rates.js";
import { type ResponseShift, responseShift } from "./response-shift.js";

/** Verdicts of two groups, and whether they differ at equal settings. */
export interface PassComparison {
  readonly response: string;
  /** All verdicts of each group, whatever the settings. */
  readonly passed: readonly [a: number, b: number];
  readonly judged: readonly [a: number, b: number];
  /**
   * `differs` by more than chance, `not-seen`, `too-few` verdicts at equal settings to tell any difference, or `nothing-shared`
   * where no setting was judged in both.
   */
  readonly verdict: "differs" | "not-seen" | "too-few" | "nothing-shared";
  /** Allowing for all results compared; absent where nothing is shared. */
  readonly p?: number;
  /** Verdicts at settings judged in both groups. */
  readonly atEqualSettings?: readonly [a: number, b: number];
}

/** Two groups of coupons held against each other. Plain data. */
export interface GroupComparison {
  readonly kind: "groups";
  readonly what: string;
  readonly a: string;
  readonly b: string;
  /** Logged coupons of each. */
  readonly coupons: readonly [a: number, b: number];
  /** Chance that all intervals hold together. */
  readonly level: number;
  /** Results compared, which the intervals allow for. */
  readonly looks: number;
  readonly shifts: readonly ResponseShift[];
  readonly checks: readonly PassComparison[];
  /** Results that could not be compared, and why. */
  readonly left: readonly { readonly response: string; readonly reason: string }[];
  readonly findings: readonly Finding[];
}

/** How to compare. */
export interface ComparisonOptions {
  /** Chance that all intervals of one comparison hold together. Default 0.95. */
  readonly level?: number;
  /** Coupons to leave out. */
  readonly without?: readonly string[];
  /** Coupons on first layers or on walls. Default the set with more of them. */
  readonly layers?: LayerSet;
}

/**
 * Holds two groups of coupons (two days, two cylinders, before and after a change) against each other: every measured
 * response and grade at equal settings, every check by its verdicts at settings judged in both.
 *
 * All results are looked at together: intervals and chances allow for their number (Bonferroni), so that the level is that of
 * the whole answer. What else changed between the groups is in the difference too.
 *
 * @throws {BeadbenchError} `bad-argument` for a coupon to leave out that there is not
 * @source analysis of covariance and B. L. Welch, Biometrika 34 (1947) 28; checks by Fisher's exact test
 */
export function compareGroups(
  study: StudyData,
  groups: CouponGroups,
  { level = 0.95, without = [], layers }: ComparisonOptions = {},
): GroupComparison {
  requireNumber("level", level, { above: 0, below: 1 });
  requireCoupons(study, without);
  const data = outcomeData(study, { without, ...onlyDefined({ layers }) });
  const { coupons } = data;
  const left: { readonly response: string; readonly reason: string }[] = [];
  const compared: { readonly data: GroupRows; readonly shift: GroupShift }[] = [];
  const judged: { readonly response: Response; readonly test: PassTest | undefined }[] = [];
  for (const response of study.definition.responses) {
    if (kindRules(response.kind).cells === "verdicts") {
      const strata = strataOf(coupons, response, groups);
      const lacking = (["a", "b"] as const).find((side) => strata.every((one) => one[side].judged === 0));
      if (lacking === undefined) judged.push({ response, test: comparePassRates(strata) });
      else left.push({ response: response.name, reason: `no coupon of ${groups[lacking]} has a verdict` });
      continue;
    }
    try {
      const rows = groupRows(data, response, groups);
      compared.push({ data: rows, shift: groupShift(data, rows, groups) });
    } catch (error) {
      if (!(error instanceof BeadbenchError) || error.code !== "not-enough-data") throw error;
      left.push({ response: response.name, reason: error.message.replace(`${response.name}: `, "") });
    }
  }
  const looks = compared.length + judged.filter(({ test }) => test !== undefined).length;
  const each = 1 - (1 - level) / Math.max(1, looks);
  const shifts = compared.map(({ data: rows, shift }) =>
    responseShift(rows, shift, {
      groups,
      level: each,
      reach: tQuantile((1 + each) / 2, shift.df),
      p: Math.min(1, looks * 2 * tCdf(-Math.abs(shift.estimate / shift.standardError), shift.df)),
    }),
  );
  const count = (side: string): number => coupons.filter((one) => groups.labelOf(one) === side).length;
  return {
    kind: "groups",
    what: groups.what,
    a: groups.a,
    b: groups.b,
    coupons: [count(groups.a), count(groups.b)],
    level,
    looks,
    shifts,
    checks: judged.map(({ response, test }) =>
      passComparison({ response, test, coupons, groups, looks, level }),
    ),
    left,
    findings: [...data.findings, ...groupFindings(coupons, groups, shifts)],
  };
}

/** Verdicts by setting, of settings judged in either group. */
function strataOf(coupons: readonly Coupon[], response: Response, groups: CouponGroups): readonly Stratum[] {
  const labels = settingLabels(coupons.map(({ settings }) => settings));
  const own = coupons.flatMap((coupon, i) => {
    const passed = verdictOf(coupon, response.name);
    const label = groups.labelOf(coupon);
    return passed === undefined || (label !== groups.a && label !== groups.b)
      ? []
      : [{ passed, label, setting: labels[i]! }];
  });
  return [...grouped(own, ({ setting }) => setting).values()].map((rows) => {
    const side = (name: string): Stratum["a"] => {
      const of = rows.filter(({ label }) => label === name);
      return { judged: of.length, passed: of.filter(({ passed }) => passed).length };
    };
    return { a: side(groups.a), b: side(groups.b) };
  });
}

function verdictOf(coupon: Coupon, name: string): boolean | undefined {
  const result = resultOf(coupon, name);
  return (
    result &&
    matchKind<boolean | undefined>(result, {
      measured: () => undefined,
      passFail: ({ passed }) => passed,
      grade: () => undefined,
    })
  );
}

function passComparison({
  response,
  test,
  coupons,
  groups,
  looks,
  level,
}: {
  readonly response: Response;
  readonly test: PassTest | undefined;
  readonly coupons: readonly Coupon[];
  readonly groups: CouponGroups;
  readonly looks: number;
  readonly level: number;
}): PassComparison {
  const verdicts = (side: string): readonly boolean[] =>
    coupons.flatMap((coupon) =>
      groups.labelOf(coupon) === side ? (verdictOf(coupon, response.name) ?? []) : [],
    );
  const [a, b] = [verdicts(groups.a), verdicts(groups.b)];
  const passed = [a, b].map((list) => list.filter(Boolean).length);
  const told = {
    response: response.name,
    passed: [passed[0]!, passed[1]!] as const,
    judged: [a.length, b.length] as const,
  };
  if (test === undefined) return { ...told, verdict: "nothing-shared" };
  const p = Math.min(1, looks * test.p);
  return {
    ...told,
    verdict: p < 1 - level ? "differs" : looks * test.least >= 1 - level ? "too-few" : "not-seen",
    p,
    atEqualSettings: test.judged,
  };
}
