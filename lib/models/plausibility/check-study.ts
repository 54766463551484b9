import type { Finding } from "../../errors/index.js";
import type { StudyDefinition } from "../../study/definition/index.js";
import { type Coupon, resultOf, type Study, type StudyData } from "../../study/record/index.js";
import { type MassBalance, massBalances, type PureError, pureErrors } from "../balance/index.js";
import { allFailed } from "../gate/index.js";
import { arcFindings } from "./arc.js";
import { blockConfounding } from "./block-confounding.js";
import { type Confounding, confounding } from "./confounding.js";
import { type DropOut, dropOuts, readingFindings } from "./readings.js";
import { type RunEffect, runEffectFindings, runEffects } from "./run-effects.js";
import { sameValueFindings } from "./same-values.js";
import { findSlips, findTypedSlips, type Slips, slipFindings } from "./slip-findings.js";
import { type UnitFindings, unitSlipFindings } from "./unit-slip.js";

/** What a check of a study found. Plain data. */
export interface StudyCheck {
  readonly counts: { readonly logged: number; readonly planned: number; readonly voided: number };
  /** Logged coupons without a value, per response; only responses that lack some. */
  readonly missing: Readonly<Record<string, number>>;
  readonly massBalances: readonly MassBalance[];
  readonly dropOuts: readonly DropOut[];
  readonly pureErrors: readonly PureError[];
  readonly confounding: Confounding;
  readonly slips: Slips;
  /** What blocks, run order and logged changes did to the responses, where it is beyond scatter. */
  readonly runEffects: readonly RunEffect[];
  readonly findings: readonly Finding[];
  /** Whether a finding is so grave that no fit should be trusted before it is mended. */
  readonly refused: boolean;
}

/** What a check needs of a study; the journal's entries tell in which unit each value was written down. */
export type CheckedStudy = Pick<Study, "definition" | "coupons"> &
  Partial<Pick<Study, "entries" | "integrity" | "changes">>;

/**
 * Checks a study's coupons against physics and against each other: units, slips of the pen, mass balance, drop-outs,
 * repeats, settings that moved together, and what days, run order and changes of equipment did. Nothing is removed or
 * changed; trouble is told as findings. With the journal's `integrity` and `changes` it weighs those too; without them it
 * cannot tell a change of equipment from chance.
 */
export function checkStudy({ definition, coupons, integrity = [], changes = [] }: CheckedStudy): StudyCheck {
  const seen = loggedOf({ definition, coupons });
  const balances = massBalances(seen);
  const errors = pureErrors(seen);
  const together = confounding(seen);
  const units = unitSlipFindings(seen, balances);
  const slips = findSlips(seen, units.explained);
  const effects = runEffects(seen, changes, slips);
  const findings = [
    ...integrity,
    ...graveFindings(seen, units, slips),
    ...allFailed(seen),
    ...sameValueFindings(seen),
    ...runEffectFindings(seen, effects),
    ...together.findings,
    ...blockConfounding(seen),
    ...repeatFindings(seen.coupons, errors),
  ];
  return {
    counts: {
      logged: seen.coupons.length,
      planned: coupons.filter(({ state }) => state === "planned").length,
      voided: coupons.filter(({ state }) => state === "voided").length,
    },
    missing: missingCounts(definition, seen.coupons),
    massBalances: balances,
    dropOuts: dropOuts(seen),
    pureErrors: errors,
    confounding: together,
    slips,
    runEffects: effects,
    findings,
    refused: findings.some(isGrave),
  };
}

/** What refuses a study: the errors among the findings of {@link checkStudy}, without looking for anything less grave. */
export function refusals({ definition, coupons, integrity = [] }: CheckedStudy): readonly Finding[] {
  const seen = loggedOf({ definition, coupons });
  const units = unitSlipFindings(seen, massBalances(seen));
  const slips = findTypedSlips(seen, units.explained);
  return [...integrity, ...graveFindings(seen, units, { ...slips, verdicts: [] })].filter(isGrave);
}

const isGrave = ({ severity }: Finding): boolean => severity === "error";

const loggedOf = ({ definition, coupons }: StudyData): StudyData => ({
  definition,
  coupons: coupons.filter(({ state }) => state === "logged"),
});

/** The findings of a check that may be so grave that they refuse the study. */
function graveFindings(seen: StudyData, units: UnitFindings, slips: Slips): readonly Finding[] {
  return [
    ...units.findings,
    ...arcFindings(seen, units.explained),
    ...readingFindings(seen),
    ...slipFindings(seen, slips),
  ];
}

function missingCounts(
  definition: StudyDefinition,
  logged: readonly Coupon[],
): Readonly<Record<string, number>> {
  return Object.fromEntries(
    definition.responses.flatMap(({ name }) => {
      const lacking = logged.filter((coupon) => resultOf(coupon, name) === undefined).length;
      return lacking === 0 ? [] : [[name, lacking]];
    }),
  );
}

function repeatFindings(logged: readonly Coupon[], errors: readonly PureError[]): readonly Finding[] {
  if (logged.length < 6 || errors.some(({ coupons, settings }) => coupons - settings >= 2)) return [];
  return [
    {
      code: "no-repeats",
      severity: "warning",
      message: "hardly any setting was run twice, so nobody can tell a poor model from plain scatter",
      advice: "repeat a middle setting three times or more, spread over the sessions",
    },
  ];
}
