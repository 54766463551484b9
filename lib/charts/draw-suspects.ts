import type { OutcomeModel, StudyCheck } from "../models/index.js";
import { inWords, percent, settingDigits, significant } from "../numeric/index.js";
import type { DefinedStudy } from "../study/index.js";
import { withUnit } from "../units/index.js";
import type { ChartSpec } from "./spec.js";
import { chartSuspects, type Suspect } from "./suspects.js";

/** What a check suspects of single coupons: settings, sizes, stations and verdicts that may be slips, with their chances. */
export function suspectsOf(
  { definition }: DefinedStudy,
  { slips }: Pick<StudyCheck, "slips">,
): readonly Suspect[] {
  const unitOf = (name: string): string =>
    definition.responses.find((response) => response.name === name)?.unit ?? "1";
  return [
    ...slips.settings.map(({ coupon, chance, factor, value, unit, others: [low, high] }) => ({
      coupon,
      chance,
      reason: `${inWords(factor)} ${withUnit(settingDigits(value), unit)}; the others lie within ${withUnit(`${settingDigits(low)} to ${settingDigits(high)}`, unit)}`,
    })),
    ...slips.values.map(({ coupon, chance, response, value, expected }) => ({
      coupon,
      chance,
      reason: `${inWords(response)} ${withUnit(significant(value), unitOf(response))}; the others foresee ${withUnit(significant(expected.value), unitOf(response))}`,
    })),
    ...slips.stations.map(({ coupon, chance, response, station, reading, usual }) => ({
      coupon,
      chance,
      reason: `${inWords(response)} reads ${withUnit(settingDigits(reading), unitOf(response))} at station ${station}, among ${significant(usual)}`,
    })),
    ...slips.verdicts.map(({ coupon, chance, response, passed, foreseen }) => ({
      coupon,
      chance,
      reason: `${inWords(response)} ${passed ? "passed" : "failed"}; the others give that a chance of ${percent(foreseen, 1)}`,
    })),
  ];
}

/** Chance from which a coupon of the outcome model is shown: below it nobody need look. */
const WORTH_A_LOOK = 0.1;

/** The same by the outcome model, which weighs every coupon. */
export function modelSuspects(
  { definition }: DefinedStudy,
  suspects: OutcomeModel["suspects"],
): readonly Suspect[] {
  const unitOf = (name: string | undefined): string =>
    definition.responses.find((response) => response.name === name)?.unit ?? "1";
  return suspects
    .filter(({ chance }) => chance >= WORTH_A_LOOK)
    .map(({ coupon, chance, likeliest, what, reading, verdict }) => {
      const said =
        reading !== undefined
          ? `${inWords(what ?? "reading")} ${withUnit(significant(reading.value), unitOf(what))}; the others foresee ${withUnit(significant(reading.foreseen), unitOf(what))}`
          : verdict !== undefined
            ? `${inWords(what ?? "verdict")} ${verdict.passed ? "passed" : "failed"}; the others give that a chance of ${percent(verdict.foreseen, 1)}`
            : what === undefined
              ? ""
              : inWords(what);
      const kind = { reading: "a slip", setting: "another setting than recorded", verdict: "ticked wrongly" };
      return { coupon, chance, reason: [`likeliest ${kind[likeliest]}`, said].filter(Boolean).join(": ") };
    });
}

/**
 * Suspect coupons, the likeliest first; undefined where none is suspect. Of a coupon that the check names, the check's reason
 * stands.
 *
 * @param model - adds the coupons that the outcome model doubts
 */
export function drawSuspects(
  study: DefinedStudy,
  check: Pick<StudyCheck, "slips">,
  model?: Pick<OutcomeModel, "suspects">,
): ChartSpec | undefined {
  const named = suspectsOf(study, check);
  const more = model === undefined ? [] : modelSuspects(study, model.suspects);
  const suspects = [...named, ...more.filter(({ coupon }) => !named.some((one) => one.coupon === coupon))];
  return suspects.length === 0 ? undefined : chartSuspects({ suspects });
}
