import type { StudyCheck } from "../models/index.js";
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

/**
 * Suspect coupons of a check, the likeliest first; undefined where none is suspect.
 *
 * @param more - suspects from elsewhere, such as a model that weighs each coupon
 */
export function drawSuspects(
  study: DefinedStudy,
  check: Pick<StudyCheck, "slips">,
  more: readonly Suspect[] = [],
): ChartSpec | undefined {
  const suspects = [...suspectsOf(study, check), ...more];
  return suspects.length === 0 ? undefined : chartSuspects({ suspects });
}
