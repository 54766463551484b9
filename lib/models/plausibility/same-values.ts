import { type Finding, grouped } from "../../errors/index.js";
import { counted, settingDigits } from "../../numeric/index.js";
import type { Response } from "../../study/definition/index.js";
import { canonicalJson } from "../../study/journal/index.js";
import { type Coupon, measuredOf, measuredResults, type StudyData } from "../../study/record/index.js";
import { withUnit } from "../../units/index.js";

/** Coupons below which values that agree say little. */
const FEWEST = 5;
/** Expected number of neighbours that agree by chance, above which agreeing ones are not named. */
const BY_CHANCE = 0.02;

/**
 * What was written down too often: a size that came out the same at every setting, coupons that were all run at one
 * setting, and neighbours in the run order that agree in every reading though their settings differ, as a line copied down
 * does.
 */
export function sameValueFindings({ definition, coupons }: StudyData): readonly Finding[] {
  if (coupons.length < FEWEST) return [];
  const settings = new Set(coupons.map(settingsText));
  if (settings.size === 1 && definition.factors.length > 0) return [oneSetting(coupons.length)];
  const measured = definition.responses.filter(({ kind }) => kind === "measured");
  return [...measured.flatMap((response) => neverChanges(response, coupons)), ...copiedLines(coupons)];
}

const settingsText = ({ settings }: Coupon): string => canonicalJson(settings);

/** Every size of a coupon as it was read. */
const readingsOf = (coupon: Coupon): ReadonlyMap<string, string> =>
  new Map(
    measuredResults(coupon).map(([name, { value, scatter }]) => [
      name,
      (scatter?.readings ?? [value]).join(" "),
    ]),
  );

function oneSetting(count: number): Finding {
  return {
    code: "one-setting",
    severity: "warning",
    message: `all ${counted(count, "coupon")} were run at one setting: they tell the scatter there, and nothing of what a setting does`,
    advice:
      "change settings from coupon to coupon, as `plan` or `next` proposes; one setting needs four repeats at most",
  };
}

function neverChanges({ name, unit }: Response, coupons: readonly Coupon[]): readonly Finding[] {
  const values = coupons.flatMap((coupon) => measuredOf(coupon, name) ?? []);
  // A count of pores or a depth of undercut may well be 0 everywhere.
  if (values.length < FEWEST || values[0] === 0 || new Set(values).size > 1) return [];
  return [
    {
      code: "never-changes",
      severity: "warning",
      message: `${name} is ${withUnit(settingDigits(values[0]!), unit)} on all ${values.length} coupons, whatever their settings: measured beads scatter`,
      advice:
        "look whether it was measured or filled in, whether the gauge was stuck or read too coarsely; leave the cell empty where it was not measured",
      about: [name],
    },
  ];
}

/**
 * Neighbours that agree in all they have, where so many agreeing by chance is unlikely. The chance is that of two
 * coupons of the study drawn at random, one size at a time.
 */
function copiedLines(coupons: readonly Coupon[]): readonly Finding[] {
  const lines = [...coupons]
    .sort((a, b) => a.order - b.order)
    .map((coupon) => ({ coupon, readings: readingsOf(coupon) }));
  const chances = agreementChances(lines.map(({ readings }) => readings));
  return lines.slice(1).flatMap(({ coupon, readings }, i) => {
    const before = lines[i]!;
    if (readings.size < 2 || settingsText(coupon) === settingsText(before.coupon)) return [];
    const agrees =
      readings.size === before.readings.size &&
      [...readings].every(([name, text]) => before.readings.get(name) === text);
    if (!agrees) return [];
    const chance = [...readings.keys()].reduce((product, name) => product * chances.get(name)!, 1);
    if (chance * (lines.length - 1) > BY_CHANCE) return [];
    const names = [before.coupon.id, coupon.id];
    return [
      {
        code: "copied-line",
        severity: "warning" as const,
        message: `${names.join(" and ")} have the same ${[...readings.keys()].join(" and ")} to the last digit, at different settings: a line copied down?`,
        advice: "look at the sheet, or measure both again, and log a correction",
        about: names,
      },
    ];
  });
}

/** Chance that two coupons agree in a size, by size, from all pairs of them; the pair that is judged counts with them. */
function agreementChances(lines: readonly ReadonlyMap<string, string>[]): ReadonlyMap<string, number> {
  const names = new Set(lines.flatMap((line) => [...line.keys()]));
  return new Map(
    [...names].map((name) => {
      const values = lines.flatMap((line) => line.get(name) ?? []);
      const pairs = (n: number): number => (n * (n - 1)) / 2;
      const counts = [...grouped(values, (text) => text).values()].map(({ length }) => length);
      const agreeing = counts.reduce((sum, n) => sum + pairs(n), 0);
      return [name, agreeing / pairs(values.length)];
    }),
  );
}
