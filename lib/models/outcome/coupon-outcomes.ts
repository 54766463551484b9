import { type Finding, grouped } from "../../errors/index.js";
import { settingDigits } from "../../numeric/figures/index.js";
import { counted } from "../../numeric/format/index.js";
import { type Coupon, isGood, measuredOf, resultOf, type StudyData } from "../../study/record/index.js";
import { allFailed } from "../gate/index.js";
import { blockOf, checksOf, dimensionsOf, measuredSize } from "../physical/index.js";
import type { Settings } from "../settings/index.js";
import { type Coordinate, studyCoordinates, unplaced } from "./coordinates.js";

/** A logged coupon as the models see it. */
export interface CouponOutcome {
  readonly id: string;
  readonly settings: Settings;
  /** Number of its block, from 0. */
  readonly block: number;
  /** Place in its block by run order, from -0.5 for the first to 0.5 for the last of the longest block. */
  readonly place: number;
  readonly measured: ReadonlyMap<string, number>;
  /** Checks with a verdict. */
  readonly passed: ReadonlyMap<string, boolean>;
  /** Settings, sizes and verdicts that were looked at again. */
  readonly checkedAgain: ReadonlySet<string>;
}

/** The logged coupons of a study. */
export interface CouponOutcomes {
  readonly coupons: readonly CouponOutcome[];
  readonly checks: readonly string[];
  /** Measured values so far, by response. */
  readonly values: ReadonlyMap<string, readonly number[]>;
  readonly findings: readonly Finding[];
}

/** Name of the check that a coupon could be measured at all, for studies whose failures carry no verdict. */
export const MEASURABLE = "measurable";

/** Coupons of a block that show a trend within it. */
const FEWEST_IN_BLOCK = 3;

/** Sorts logged coupons into measurements and verdicts. */
export function couponOutcomes({ definition, coupons }: StudyData): CouponOutcomes {
  const axes = studyCoordinates(definition);
  const run = coupons.filter((coupon) => coupon.state === "logged");
  const logged = run.filter(({ settings }) => unplaced(axes, settings).length === 0);
  const blocks = new Map<string, number>();
  const places = placesOf(logged);
  const dimensions = dimensionsOf(definition);
  const judged = checksOf(definition);
  const others = definition.responses.filter((response) => !dimensions.includes(response));
  const values = new Map<string, number[]>();
  const unexplained: string[] = [];
  const impossible: string[] = [];
  const outcomes = logged.map((coupon) => {
    const key = blockOf(coupon);
    if (!blocks.has(key)) blocks.set(key, blocks.size);
    const measured = new Map<string, number>();
    for (const response of dimensions) {
      const { name } = response;
      const value = measuredOf(coupon, name);
      if (value === undefined) continue;
      if (value <= 0 && measuredSize(response)?.positive === true) {
        impossible.push(`${coupon.id} (${name} ${settingDigits(value)})`);
        continue;
      }
      measured.set(name, value);
      if (!values.has(name)) values.set(name, []);
      values.get(name)!.push(value);
    }
    const passed = new Map<string, boolean>();
    for (const { name, spec } of judged) {
      const result = resultOf(coupon, name);
      const good = result === undefined ? undefined : isGood(result, spec);
      if (good !== undefined) passed.set(name, good);
    }
    const judgedByEye = others.some(({ name }) => resultOf(coupon, name) !== undefined);
    if (dimensions.length > 0 && measured.size === 0 && !judgedByEye) unexplained.push(coupon.id);
    const [block, place] = [blocks.get(key)!, places.get(coupon)!];
    const checkedAgain = new Set(coupon.checkedAgain);
    return { id: coupon.id, settings: coupon.settings, block, place, measured, passed, checkedAgain };
  });
  const checks = judged.map((response) => response.name);
  const never =
    outcomes.length === 0 ? [] : checks.filter((name) => outcomes.every(({ passed }) => !passed.has(name)));
  const findings = [
    ...allFailed({ definition, coupons }),
    ...never.map(neverJudged),
    ...impossibleReadings(impossible),
    ...settingsMissing(
      run.filter((coupon) => !logged.includes(coupon)),
      axes,
    ),
  ];
  if (unexplained.length === 0) return { coupons: outcomes, checks, values, findings };
  const lost = new Set(unexplained);
  return {
    coupons: outcomes.map((coupon) => ({
      ...coupon,
      passed: new Map([...coupon.passed, [MEASURABLE, !lost.has(coupon.id)]]),
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

/** Places of coupons in their blocks; all in the middle where no block holds enough to tell a trend. */
function placesOf(coupons: readonly Coupon[]): ReadonlyMap<Coupon, number> {
  const blocks = [...grouped(coupons, blockOf).values()];
  const longest = Math.max(...blocks.map(({ length }) => length));
  return new Map(
    blocks.flatMap((block) =>
      [...block]
        .sort((a, b) => a.order - b.order)
        .map((coupon, rank) => [coupon, longest < FEWEST_IN_BLOCK ? 0 : rank / (longest - 1) - 0.5] as const),
    ),
  );
}

/** A factor may be younger than the coupons; those before it say nothing of what it does. */
function settingsMissing(coupons: readonly Coupon[], axes: readonly Coordinate[]): readonly Finding[] {
  if (coupons.length === 0) return [];
  const names = [...new Set(coupons.flatMap(({ settings }) => unplaced(axes, settings)))];
  const about = coupons.map(({ id }) => id);
  return [
    {
      code: "unset-coupons",
      severity: "warning",
      message: `${counted(about.length, "coupon")} without a usable setting of ${names.join(", ")} ${about.length === 1 ? "is" : "are"} left out: ${about.slice(0, 5).join(", ")}${about.length > 5 ? " ..." : ""}`,
      advice:
        "log the setting for them by a correction, or keep it among the settings of the rig instead of the factors",
      about,
    },
  ];
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
