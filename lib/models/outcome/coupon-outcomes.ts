import type { Finding } from "../../errors/index.js";
import type { Coupon, Response, StudyDefinition } from "../../study/index.js";
import { measuredSize, type Settings } from "../physical/index.js";

/** A logged coupon as the models see it. */
export interface CouponOutcome {
  readonly settings: Settings;
  /** Number of its block, from 0. */
  readonly block: number;
  readonly measured: Readonly<Record<string, number>>;
  /** Checks with a verdict. */
  readonly passed: Readonly<Record<string, boolean>>;
}

/** The logged coupons of a study. */
export interface CouponOutcomes {
  readonly coupons: readonly CouponOutcome[];
  readonly checks: readonly string[];
  /** Measured values so far, by response. */
  readonly values: Readonly<Record<string, readonly number[]>>;
  readonly findings: readonly Finding[];
}

/** Name of the check that a coupon could be measured at all, for studies whose failures carry no verdict. */
export const MEASURABLE = "measurable";

/** A grade passes when it meets its specification. */
function verdict(response: Response, coupon: Coupon): boolean | undefined {
  if (response.kind === "passFail") return coupon.passed[response.name];
  const grade = coupon.grades[response.name];
  if (grade === undefined) return undefined;
  const { lower = Number.NEGATIVE_INFINITY, upper = Number.POSITIVE_INFINITY } = response.spec ?? {};
  return grade >= lower && grade <= upper;
}

function blockKey(definition: StudyDefinition, coupon: Coupon): string {
  if (definition.blocks.length === 0) return coupon.time.slice(0, 10);
  return definition.blocks.map((block) => coupon.blocks[block] ?? "").join("/");
}

/** Sorts logged coupons into measurements and verdicts. */
export function couponOutcomes(definition: StudyDefinition, coupons: readonly Coupon[]): CouponOutcomes {
  const logged = coupons.filter((coupon) => coupon.state === "logged");
  const blocks = new Map<string, number>();
  const dimensions = definition.responses.filter((response) => response.kind === "measured");
  const judged = definition.responses.filter((response) => response.kind !== "measured");
  const values: Record<string, number[]> = {};
  const unexplained: string[] = [];
  const impossible: string[] = [];
  const outcomes = logged.map((coupon) => {
    const key = blockKey(definition, coupon);
    if (!blocks.has(key)) blocks.set(key, blocks.size);
    const measured: Record<string, number> = {};
    for (const response of dimensions) {
      const { name } = response;
      const value = coupon.measured[name];
      if (value === undefined) continue;
      if (value <= 0 && measuredSize(response)?.positive === true) {
        impossible.push(`${coupon.id} (${name} ${value})`);
        continue;
      }
      measured[name] = value;
      values[name] ??= [];
      values[name].push(value);
    }
    const passed: Record<string, boolean> = {};
    for (const response of judged) {
      const found = verdict(response, coupon);
      if (found !== undefined) passed[response.name] = found;
    }
    const blank = dimensions.length > 0 && Object.keys(measured).length === 0;
    const explained = Object.values(passed).includes(false);
    if (blank && !explained && Object.keys(passed).length === 0) unexplained.push(coupon.id);
    return { id: coupon.id, settings: coupon.settings, block: blocks.get(key)!, measured, passed };
  });
  const checks = judged.map((response) => response.name);
  const never =
    outcomes.length === 0
      ? []
      : checks.filter((name) => outcomes.every(({ passed }) => passed[name] === undefined));
  const findings = [...never.map(neverJudged), ...impossibleReadings(impossible)];
  if (unexplained.length === 0) return { coupons: outcomes, checks, values, findings };
  const lost = new Set(unexplained);
  return {
    coupons: outcomes.map(({ id, ...coupon }) => ({
      ...coupon,
      passed: { ...coupon.passed, [MEASURABLE]: !lost.has(id) },
    })),
    checks: [...checks, MEASURABLE],
    values,
    findings: [
      ...findings,
      {
        code: "blank-coupons-failed",
        severity: "warning",
        message: `${unexplained.length} logged coupons carry neither a dimension nor a verdict; they count as failed`,
        advice: "log a pass/fail verdict with every coupon, or void those that were never run",
        about: unexplained,
      },
    ],
  };
}

function impossibleReadings(readings: readonly string[]): readonly Finding[] {
  if (readings.length === 0) return [];
  return [
    {
      code: "impossible-readings",
      severity: "warning",
      message: `sizes of 0 or below are left out: ${readings.join(", ")}`,
      advice: "correct them, or leave the cell empty and log the check that failed",
    },
  ];
}

function neverJudged(check: string): Finding {
  return {
    code: "check-never-judged",
    severity: "warning",
    message: `no coupon carries a verdict on ${check}; its chance rests on trade rules alone and pulls every claim down`,
    advice: `log ${check} as pass or fail with every coupon, good ones too, or take it out of study.json`,
    about: [check],
  };
}
