import { inWords, percent, sentence, significant } from "../numeric/index.js";
import type { PresetComparison } from "../presets/index.js";
import { settingText } from "../study/definition/index.js";
import { headed, withUnit } from "../units/index.js";
import { findingsBelow, textTable, wrap } from "./text.js";

/** Two presets side by side: what to set, what comes of it, and which differences are more than uncertainty. */
export function presetsText(comparison: PresetComparison): string {
  const { a, b, under, settings, predicted, findings } = comparison;
  const same = settings.every((pair) => pair.same);
  return [
    `${wrap(headText(comparison))}\n`,
    under === "study"
      ? "Both judged by the coupons and the specification of the study\n\n"
      : "Each as it judged itself when it was made\n\n",
    same ? "Settings: the same in both\n" : settingsTable(comparison),
    predicted.length === 0
      ? ""
      : `\n${textTable(
          [
            { title: "95 % of coupons" },
            { title: a, align: "right" },
            { title: b, align: "right" },
            { title: "second less first", align: "right" },
          ],
          predicted.map(({ response, unit, a: one, b: other, difference }) => [
            headed(response, unit),
            rangeText(one),
            rangeText(other),
            difference === undefined
              ? significant(other.median - one.median, 2)
              : `${significant(difference.estimate, 2)} (${significant(difference.lower, 2)} to ${significant(difference.upper, 2)})`,
          ]),
        )}`,
    chanceText(comparison),
    findingsBelow(findings),
  ].join("");
}

function headText({ a, b, settings, predicted, chance }: PresetComparison): string {
  if (settings.every(({ same }) => same)) return `${sentence(a)} and ${b} have the same settings.`;
  const differ = predicted.filter((pair) => pair.differs);
  const beads = differ.map(({ response, unit, a: one, b: other }) => {
    const more = other.median - one.median;
    return `${inWords(response)} ${withUnit(significant(Math.abs(more), 2), unit)} ${more < 0 ? "less" : "more"}`;
  });
  const lead =
    differ.length === 0
      ? `Beads of ${a} and ${b} are not told apart.`
      : `${sentence(b)} gives other beads than ${a}: ${beads.join(", ")}.`;
  const { a: one, b: other } = chance;
  const better = other.value > one.value ? b : a;
  return chance.differs
    ? `${lead} ${sentence(better)} conforms more often: ${percent(one.value)} with ${a}, ${percent(other.value)} with ${b}.`
    : `${lead} Which conforms more often is not told: ${percent(one.value)} with ${a}, ${percent(other.value)} with ${b}.`;
}

function settingsTable({ a, b, settings }: PresetComparison): string {
  return textTable(
    [{ title: "setting" }, { title: a, align: "right" }, { title: b, align: "right" }, { title: "" }],
    settings.map((pair) => [
      headed(pair.name, pair.unit),
      settingText(pair.a),
      settingText(pair.b),
      pair.same
        ? "same"
        : typeof pair.a === "number" && typeof pair.b === "number"
          ? changeText(pair.a, pair.b)
          : "",
    ]),
  );
}

const changeText = (a: number, b: number): string =>
  a === 0 ? "" : `${percent(Math.abs(b / a - 1), 1)} ${b < a ? "less" : "more"}`;

const rangeText = ({ median, lower, upper }: PresetComparison["predicted"][number]["a"]): string =>
  `${significant(median)} (${significant(lower)} to ${significant(upper)})`;

function chanceText({ a, b, chance }: PresetComparison): string {
  const told = ({ value, lower, upper }: PresetComparison["chance"]["a"]): string =>
    `${percent(value)} (90 % interval ${percent(lower)} to ${percent(upper)})`;
  const { difference } = chance;
  return [
    `\nChance that a coupon conforms in everything: ${a} ${told(chance.a)}, ${b} ${told(chance.b)}\n`,
    difference === undefined
      ? ""
      : `Chance that ${b} is the better: ${percent(difference.secondBetter)}; it conforms ${significant(100 * difference.estimate, 2)} points more (90 % ${significant(100 * difference.lower, 2)} to ${significant(100 * difference.upper, 2)})\n`,
  ].join("");
}
