import type { Finding } from "../../errors/index.js";
import { significant } from "../../numeric/figures/index.js";
import type { Coupon, StudyData } from "../../study/record/index.js";
import { withUnit } from "../../units/index.js";
import { findTypedSlips } from "./slip-findings.js";

/** Chance of a slip of the pen from which a value is left out of a model that would believe it. */
const CERTAIN = 0.99;

/** Coupons without the values that are slips of the pen beyond reasonable doubt. */
export interface SoundCoupons {
  readonly coupons: readonly Coupon[];
  /** What was left out, value by value. */
  readonly findings: readonly Finding[];
}

/**
 * Leaves out what the check is surest of: sizes and station readings that are slips with a chance of 99 % or more, with
 * a mistyped setting the whole coupon. The models of sizes and failures behind `window` take every number at its word, so
 * that one decimal point in the wrong place would spoil them. Nothing changes in the study; each value is named.
 *
 * It misleads where settings truly fail by a factor: a slumped bead three times as wide as its neighbours looks like a
 * slip, if nothing but its size says so.
 *
 * @param study - coupons that were not logged stay as they are
 */
export function soundCoupons({ definition, coupons }: StudyData): SoundCoupons {
  const logged = coupons.filter(({ state }) => state === "logged");
  const { values, settings, stations } = findTypedSlips({ definition, coupons: logged });
  const certain = <T extends { readonly chance: number }>(slips: readonly T[]): readonly T[] =>
    slips.filter(({ chance }) => chance >= CERTAIN);
  const mistyped = certain(settings);
  const sizes = [
    ...certain(values),
    ...certain(stations).map(({ reading, ...slip }) => ({ ...slip, value: reading })),
  ].filter(({ coupon }) => !mistyped.some((slip) => slip.coupon === coupon));
  if (mistyped.length + sizes.length === 0) return { coupons, findings: [] };
  const kept = coupons.flatMap((coupon): Coupon[] => {
    if (mistyped.some((slip) => slip.coupon === coupon.id)) return [];
    const lost = new Set(sizes.filter((slip) => slip.coupon === coupon.id).map(({ response }) => response));
    if (lost.size === 0) return [coupon];
    const results = Object.fromEntries(Object.entries(coupon.results).filter(([name]) => !lost.has(name)));
    // A coupon without any result would count as one that failed.
    return Object.keys(results).length === 0 ? [] : [{ ...coupon, results }];
  });
  const unitOf = (name: string): string => definition.responses.find((one) => one.name === name)?.unit ?? "1";
  const told = [
    ...mistyped.map(
      ({ coupon, factor, value, unit }) =>
        `all of ${coupon} (${factor} ${withUnit(significant(value), unit)})`,
    ),
    ...sizes.map(
      ({ coupon, response, value }) =>
        `${response} of ${coupon} (${withUnit(significant(value), unitOf(response))})`,
    ),
  ];
  return {
    coupons: kept,
    findings: [
      {
        code: "slips-left-out",
        severity: "warning",
        message: `left out here as ${told.length === 1 ? "a slip" : "slips"} of the pen (chance over 99 %): ${told.join(", ")}`,
        advice:
          "`check` says what may have been meant and how to correct it; a value that is true needs a verdict beside it",
        about: [...mistyped, ...sizes].map(({ coupon }) => coupon),
      },
    ],
  };
}
