import { ownValue } from "../../errors/index.js";
import { inWords, settingDigits } from "../../numeric/index.js";
import { processOf } from "../../process/handbook/index.js";
import {
  type Coupon,
  type Factor,
  matchKind,
  type Response,
  type Result,
  type StudyData,
  type StudyDefinition,
} from "../../study/index.js";
import { convert, convertDifference, sameDimension, withUnit } from "../../units/index.js";
import { blockOf } from "../physical/index.js";
import type { CouponGroups } from "./groups.js";

/** Two studies as one, in the units of the first, with the study as the group; or why that means nothing. */
export interface JoinedStudy {
  /** Absent where `refused` says why. */
  readonly joined?: { readonly study: StudyData; readonly groups: CouponGroups };
  /** Why coupons of the two cannot stand side by side, in sentences. */
  readonly refused: readonly string[];
  /** Results of one study alone, or of another kind or dimension in the other. */
  readonly left: readonly { readonly response: string; readonly reason: string }[];
}

/**
 * Puts the coupons of two studies side by side. A setting that one varies must be known in the other: varied there too, or held
 * at a value under `rig.settings`.
 *
 * @param names - by which the two are told apart
 */
export function joinStudies(a: StudyData, b: StudyData, names: readonly [string, string]): JoinedStudy {
  const refused: string[] = [];
  const [one, other] = [a.definition, b.definition];
  if (processOf(one.process) !== processOf(other.process))
    refused.push(
      `${names[0]} is process ${one.process}, ${names[1]} process ${other.process}: their settings do not mean the same, so results cannot be told at equal settings`,
    );
  const factors = [
    ...one.factors,
    ...other.factors.filter(({ name }) => one.factors.every((factor) => factor.name !== name)),
  ].flatMap((factor) => {
    const reason = mismatch(factor, { studies: [a, b], names });
    if (reason !== undefined) refused.push(reason);
    return reason === undefined ? [joinedFactor(factor, one, other)] : [];
  });
  const shared: Response[] = [];
  const left: { readonly response: string; readonly reason: string }[] = [];
  for (const response of one.responses) {
    const twin = other.responses.find(({ name }) => name === response.name);
    const reason =
      twin === undefined
        ? `only ${names[0]} has it`
        : twin.kind !== response.kind || !sameDimension(twin.unit, response.unit)
          ? `it is not the same in both (${response.kind} in ${response.unit}, ${twin.kind} in ${twin.unit})`
          : undefined;
    if (reason === undefined) shared.push(response);
    else left.push({ response: response.name, reason });
  }
  for (const { name } of other.responses)
    if (one.responses.every((response) => response.name !== name))
      left.push({ response: name, reason: `only ${names[1]} has it` });
  if (refused.length > 0) return { refused, left };
  const definition: StudyDefinition = { ...one, factors, responses: shared, blocks: [] };
  const coupons = [
    ...a.coupons.map((coupon) => moved(coupon, one, { definition, mark: "a" })),
    ...b.coupons.map((coupon) => moved(coupon, other, { definition, mark: "b" })),
  ];
  const isFirst = ({ id }: Coupon): boolean => id.startsWith("a ");
  const blocks = new Map<string, string | undefined>([
    ...a.coupons.map((coupon) => [`a ${coupon.id}`, blockIn(a, coupon)] as const),
    ...b.coupons.map((coupon) => [`b ${coupon.id}`, blockIn(b, coupon)] as const),
  ]);
  const [first, second] = names[0] === names[1] ? [`${names[0]} (first)`, `${names[1]} (second)`] : names;
  return {
    joined: {
      study: { definition, coupons },
      groups: {
        what: "study",
        besides: [...new Set([...one.blocks, ...other.blocks])],
        a: first,
        b: second,
        labelOf: (coupon) => (isFirst(coupon) ? first : second),
        within: (coupon) => {
          const block = blocks.get(coupon.id);
          return block === undefined ? undefined : `${isFirst(coupon) ? first : second}: ${block}`;
        },
      },
    },
    refused,
    left,
  };
}

/** Two studies and what they are called. */
interface StudyPair {
  readonly studies: readonly [StudyData, StudyData];
  readonly names: readonly [string, string];
}

/** The block of a coupon where its study has blocks. */
const blockIn = ({ definition }: StudyData, coupon: Coupon): string | undefined =>
  definition.blocks.length === 0 ? undefined : blockOf(coupon);

/** Why a setting keeps coupons of the two apart; undefined where it does not. */
function mismatch({ name, unit, kind }: Factor, pair: StudyPair): string | undefined {
  const { studies, names } = pair;
  const sides = studies.map(({ definition }) => definition.factors.find((factor) => factor.name === name));
  const word = inWords(name);
  if (sides.every((side) => side !== undefined)) {
    if (sides.some((side) => (side!.kind === "category") !== (kind === "category")))
      return `${word} is a name in one study and a number in the other`;
    if (!sameDimension(sides[0]!.unit, sides[1]!.unit))
      return `${word} is in ${sides[0]!.unit} in ${names[0]} and in ${sides[1]!.unit} in ${names[1]}`;
    return kind === "category" ? undefined : apart(name, unit, pair);
  }
  const lacking = sides[0] === undefined ? 0 : 1;
  const held = ownValue(studies[lacking]!.definition.rig?.settings, name);
  if (held === undefined || kind === "category")
    return `${names[1 - lacking]} varied ${word}, and ${names[lacking]} does not say what it was: write it under rig.settings of its study.json`;
  return sameDimension(held.unit, unit)
    ? undefined
    : `${word} is in ${unit} in ${names[1 - lacking]} and in ${held.unit} in ${names[lacking]}`;
}

/** Says so where the settings run in the two have no value in common. */
function apart(name: string, unit: string, { studies, names }: StudyPair): string | undefined {
  const spans = studies.map(({ definition, coupons }) => {
    const own = definition.factors.find((factor) => factor.name === name)!;
    const values = coupons.flatMap(({ state, settings }) => {
      const value = ownValue(settings, name);
      return state === "logged" && typeof value === "number" ? [convert(value, own.unit, unit)] : [];
    });
    return { low: Math.min(...values), high: Math.max(...values) };
  });
  const [one, other] = spans as [{ low: number; high: number }, { low: number; high: number }];
  // Where nothing was run, that is said of the results.
  if (!spans.every(({ low }) => Number.isFinite(low))) return undefined;
  const slack = 1e-9 * Math.max(Math.abs(one.high), Math.abs(other.high));
  if (!(one.high < other.low - slack || other.high < one.low - slack)) return undefined;
  const text = ({ low, high }: { low: number; high: number }): string =>
    withUnit(low === high ? settingDigits(low) : `${settingDigits(low)} to ${settingDigits(high)}`, unit);
  return `${inWords(name)} was run at ${text(one)} in ${names[0]} and at ${text(other)} in ${names[1]}: no value in common, so a difference may be that of the setting`;
}

function joinedFactor(factor: Factor, one: StudyDefinition, other: StudyDefinition): Factor {
  if (factor.kind === "category") {
    const levels = [one, other].flatMap(
      ({ factors }) => factors.find(({ name }) => name === factor.name)?.levels ?? [],
    );
    return { ...factor, levels: [...new Set(levels)] };
  }
  const { levels: _, step: __, ...rest } = factor;
  return { ...rest, kind: "continuous" };
}

/** A coupon in the units of the joined study, under a name of its own. */
function moved(
  coupon: Coupon,
  own: StudyDefinition,
  { definition, mark }: { readonly definition: StudyDefinition; readonly mark: string },
): Coupon {
  const settings = definition.factors.flatMap(({ name, unit }): [string, number | string][] => {
    const value = ownValue(coupon.settings, name);
    const from = own.factors.find((factor) => factor.name === name)?.unit;
    if (value !== undefined && from !== undefined)
      return [[name, typeof value === "number" ? convert(value, from, unit) : value]];
    const held = ownValue(own.rig?.settings, name);
    return held === undefined ? [] : [[name, convert(held.value, held.unit, unit)]];
  });
  const results = definition.responses.flatMap(({ name, unit }): [string, Result][] => {
    const result = ownValue(coupon.results, name);
    const from = own.responses.find((response) => response.name === name)?.unit;
    return result === undefined || from === undefined ? [] : [[name, converted(result, from, unit)]];
  });
  return {
    ...coupon,
    id: `${mark} ${coupon.id}`,
    settings: Object.fromEntries(settings),
    results: Object.fromEntries(results),
  };
}

function converted(result: Result, from: string, to: string): Result {
  return matchKind<Result>(result, {
    measured: (measured) => ({
      ...measured,
      value: convert(measured.value, from, to),
      ...(measured.scatter === undefined
        ? {}
        : {
            scatter: {
              readings: measured.scatter.readings.map((reading) => convert(reading, from, to)),
              sd: convertDifference(measured.scatter.sd, from, to),
            },
          }),
    }),
    passFail: (verdict) => verdict,
    grade: (grade) => grade,
  });
}
