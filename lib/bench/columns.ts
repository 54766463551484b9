import { onlyDefined, ownValue } from "../errors/index.js";
import { inWords, rounds, sentence, settingDigits } from "../numeric/index.js";
import { settingText, verdictWord } from "../study/definition/index.js";
import {
  type Coupon,
  kindRules,
  measuredOf,
  type Response,
  resultOf,
  type StudyData,
  scatterOf,
} from "../study/index.js";
import { sameDimension, withUnit } from "../units/index.js";
import type { BenchFactor, BenchMeasured, BenchSetting, BenchVerdict } from "./wire/index.js";

/** A name of the study as a heading. */
export const label = (name: string): string => sentence(inWords(name));

/** Coupons looked at for how many stations and decimals are usual. */
const RECENT = 30;
/** Without any readings: a calliper along a bead. Common practice, no source. */
const USUAL_STATIONS = 3;
const USUAL_DECIMALS = 1;
const MOST_DECIMALS = 3;
/** Share of the readings that have no more decimals than those typed without a mark: 5.90 is kept as 5.9. */
const USUAL_SHARE = 0.8;

/** The responses read with a number. */
export function measuredColumns({ definition, coupons }: StudyData): readonly BenchMeasured[] {
  return definition.responses
    .filter(({ kind }) => kindRules(kind).cells === "numbers")
    .map((response): BenchMeasured => {
      const { name, unit, kind, spec } = response;
      const recent = coupons
        .filter((coupon) => resultOf(coupon, name) !== undefined)
        .slice(-RECENT)
        .map((coupon) => readingsOf(coupon, name));
      const { stations } = kindRules(kind);
      return {
        name,
        label: label(name),
        unit,
        decimals: kind === "grade" ? 0 : decimalsOf(response, recent.flat()),
        stations: stations ? (mostFrequent(recent.map(({ length }) => length)) ?? USUAL_STATIONS) : 1,
        signed: (spec?.lower ?? 0) < 0,
        ...onlyDefined({ good: spec === undefined ? undefined : goodText(response), photo: photoKind(unit) }),
      };
    });
}

function photoKind(unit: string): BenchMeasured["photo"] {
  if (sameDimension(unit, "mm")) return "length";
  return sameDimension(unit, "mm2") ? "area" : undefined;
}

/** The readings of one response of a coupon; the value where it was read once. */
export function readingsOf(coupon: Coupon, name: string): readonly number[] {
  const value = measuredOf(coupon, name) ?? gradeOf(coupon, name);
  return scatterOf(coupon, name)?.readings ?? (value === undefined ? [] : [value]);
}

function gradeOf(coupon: Coupon, name: string): number | undefined {
  const result = resultOf(coupon, name);
  return result?.kind === "grade" ? result.grade : undefined;
}

function decimalsOf({ gaugeSd }: Response, readings: readonly number[]): number {
  if (readings.length > 0) {
    const ordered = readings.map((value) => decimalsIn(rounds(value, 8))).sort((a, b) => a - b);
    return Math.min(MOST_DECIMALS, ordered[Math.floor(USUAL_SHARE * (ordered.length - 1))]!);
  }
  if (gaugeSd === undefined) return USUAL_DECIMALS;
  return Math.min(MOST_DECIMALS, Math.max(0, Math.ceil(-Math.log10(gaugeSd))));
}

const decimalsIn = (value: number): number => (String(value).split(".")[1] ?? "").length;

function mostFrequent(counts: readonly number[]): number | undefined {
  const times = new Map<number, number>();
  for (const count of counts) times.set(count, (times.get(count) ?? 0) + 1);
  return [...times].sort((a, b) => b[1] - a[1])[0]?.[0];
}

function goodText({ unit, spec }: Response): string {
  const { lower, upper } = spec ?? {};
  const at = (value: number): string => withUnit(settingDigits(value), unit);
  if (lower !== undefined && upper !== undefined)
    return `good: ${withUnit(`${settingDigits(lower)} to ${settingDigits(upper)}`, unit)}`;
  if (lower !== undefined) return `good: ${at(lower)} or more`;
  return upper === undefined ? "" : `good: ${at(upper)} or less`;
}

/** The responses judged with pass or fail. */
export function verdictColumns({ definition }: StudyData): readonly BenchVerdict[] {
  return definition.responses
    .filter(({ kind }) => kindRules(kind).cells === "verdicts")
    .map((response) => ({
      name: response.name,
      label: label(response.name),
      pass: `${inWords(response.name)}: ${verdictWord(response, true)}`,
      fail: `${inWords(response.name)}: ${verdictWord(response, false)}`,
    }));
}

/** The settings the study varies. */
export function factorColumns({ definition }: StudyData): readonly BenchFactor[] {
  return definition.factors.map(({ name, unit, kind, levels }) => ({
    name,
    label: label(name),
    unit,
    ...(kind === "category" ? { levels: (levels ?? []).map(String) } : {}),
  }));
}

/** Settings as the page shows them, in the study's order. */
export function settingsShown(
  { definition }: Pick<StudyData, "definition">,
  settings: Readonly<Record<string, number | string>>,
): readonly BenchSetting[] {
  return definition.factors.flatMap(({ name, unit }) => {
    const value = ownValue(settings, name);
    if (value === undefined) return [];
    return [{ name, label: label(name), value, unit, text: withUnit(settingText(value), unit) }];
  });
}
