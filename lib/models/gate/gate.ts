import { grouped, ownValue } from "../../errors/index.js";
import { settingDigits, significant } from "../../numeric/figures/index.js";
import type { Response, StudyDefinition } from "../../study/definition/index.js";
import { type Coupon, measuredResults, type StudyData } from "../../study/record/index.js";
import { convert, unitsLike, withUnit } from "../../units/index.js";
import { describeBalance, groupBySettings, massBalances, strangeness } from "../balance/index.js";
import { measuredSize } from "../physical/index.js";
import { refusalOfCoupon } from "../settings/index.js";
import { correctionCommand } from "./correction-command.js";

/** What is odd about a value just logged, while the sheet is at hand. */
export interface GateWarning {
  readonly coupon: string;
  readonly column: string;
  readonly message: string;
  /** What to put in its place, as `log` takes it: a value with its unit, or a mark for one. */
  readonly instead: string;
}

/** Share of a factor's range by which a setting may lie outside. */
const ROOM = 0.03;
/** Times that a size may differ from its repeats, and from all other coupons. Common practice, no source. */
const REPEAT_RATIO = 1.6;
const ANY_RATIO = 5;
/** Distance from a usual bead, in widths of the plausible range. */
const BALANCE_DISTANCE = 1.5;

/**
 * What is odd about some coupons of a study, value by value: settings that no rig runs or that lie outside the study's
 * range, sizes that do not fit their repeats, all other coupons, or the wire fed. Cheap: what takes a model is left to
 * {@link checkStudy}.
 *
 * @param ids - the coupons just logged
 */
export function gate({ definition, coupons }: StudyData, ids: readonly string[]): readonly GateWarning[] {
  const logged = coupons.filter(({ state }) => state === "logged");
  const asked = new Set(ids);
  const sizes = sizesOnRecord(logged);
  return logged
    .filter(({ id }) => asked.has(id))
    .flatMap((coupon) => [
      ...settingsOf(definition, coupon),
      ...nothing(definition, coupon),
      ...unlikeOthers(definition, coupon, sizes),
      ...unlikeWire(definition, coupon),
    ]);
}

/** Odd settings; of one that no rig runs the range of the study is told only where it shows what was meant. */
function settingsOf(definition: StudyDefinition, coupon: Coupon): readonly GateWarning[] {
  const outside = outsideRange(definition, coupon);
  const refusal = refusalOfCoupon({ definition }, coupon);
  const column = String(refusal?.details.setting);
  const told = outside.find((warning) => warning.column === column);
  if (refusal === undefined || told?.instead.startsWith("<") === false) return outside;
  const absurd = { coupon: coupon.id, column, message: refusal.message, instead: told?.instead ?? "<value>" };
  return [absurd, ...outside.filter((warning) => warning !== told)];
}

function outsideRange(definition: StudyDefinition, coupon: Coupon): readonly GateWarning[] {
  return definition.factors.flatMap(({ name, unit, kind, low, high }): GateWarning[] => {
    const value = ownValue(coupon.settings, name);
    const room = ROOM * (high - low);
    if (kind === "category" || typeof value !== "number" || (value >= low - room && value <= high + room))
      return [];
    const inside = (other: number): boolean => other >= low - room && other <= high + room;
    const stated = ownValue(coupon.statedUnits, name) ?? unit;
    const typed = convert(value, unit, stated);
    const other = unitsLike(stated).find((like) => like !== stated && inside(convert(typed, like, unit)));
    const shifted = [value / 10, value * 10].find(inside);
    const guess =
      other !== undefined
        ? withUnit(settingDigits(typed), other)
        : shifted === undefined
          ? undefined
          : withUnit(settingDigits(shifted), unit);
    return [
      {
        coupon: coupon.id,
        column: name,
        message: `${name} ${withUnit(settingDigits(value), unit)} lies outside the study's ${withUnit(`${settingDigits(low)} to ${settingDigits(high)}`, unit)}${guess === undefined ? "" : `; ${guess} would lie within`}`,
        instead: guess ?? withUnit("<value>", unit),
      },
    ];
  });
}

/** Sizes of nothing: an empty cell says that none was measured, a 0 says that there was a bead of none. */
function nothing(definition: StudyDefinition, coupon: Coupon): readonly GateWarning[] {
  return measuredResults(coupon).flatMap(([column, { value }]): GateWarning[] => {
    const response = definition.responses.find(({ name }) => name === column);
    if (response === undefined || value > 0 || measuredSize(response)?.positive !== true) return [];
    const message = `${column} of ${withUnit(settingDigits(value), response.unit)} cannot be: a bead has a size above 0; leave it out where none was measured`;
    return [{ coupon: coupon.id, column, message, instead: withUnit("<value>", response.unit) }];
  });
}

/** Sizes above 0 by response, in rising order. */
type Sizes = ReadonlyMap<string, readonly number[]>;

interface SizesOnRecord {
  readonly all: Sizes;
  /** Those of the coupons run at the same settings as this one, its own among them. */
  alike(coupon: Coupon): Sizes;
}

function sizesOnRecord(logged: readonly Coupon[]): SizesOnRecord {
  const groups = new Map<Coupon, Sizes>();
  for (const group of groupBySettings({ coupons: logged })) {
    const sizes = sizesOf(group);
    for (const coupon of group) groups.set(coupon, sizes);
  }
  return { all: sizesOf(logged), alike: (coupon) => groups.get(coupon) ?? new Map() };
}

function sizesOf(coupons: readonly Coupon[]): Sizes {
  const positive = coupons.flatMap((coupon) => measuredResults(coupon).filter(([, { value }]) => value > 0));
  const named = grouped(positive, ([name]) => name);
  return new Map(
    [...named].map(([name, results]) => [name, results.map(([, { value }]) => value).sort((a, b) => a - b)]),
  );
}

/** How many sizes of a response there are beside this one, and the median of those. */
function beside(sizes: Sizes, name: string, own: number): { readonly count: number; readonly usual: number } {
  const rising = sizes.get(name) ?? [];
  const place = rising.indexOf(own);
  const count = rising.length - 1;
  const other = (rank: number): number => rising[rank < place ? rank : rank + 1]!;
  const usual = count < 1 ? Number.NaN : (other((count - 1) >> 1) + other(count >> 1)) / 2;
  return { count, usual };
}

function unlikeOthers(
  definition: StudyDefinition,
  coupon: Coupon,
  sizes: SizesOnRecord,
): readonly GateWarning[] {
  return measuredResults(coupon).flatMap(([name, { value }]): GateWarning[] => {
    const response = definition.responses.find((one) => one.name === name);
    if (response === undefined || !(value > 0)) return [];
    const repeats = beside(sizes.alike(coupon), name, value);
    const all = beside(sizes.all, name, value);
    const [{ count, usual }, most, what] =
      repeats.count > 0
        ? [repeats, REPEAT_RATIO, "its repeats show"]
        : [all, ANY_RATIO, "the other coupons show about"];
    // One or two other coupons at other settings prove nothing.
    if (repeats.count === 0 && count < 3) return [];
    const ratio = value / usual;
    if (ratio < most && ratio > 1 / most) return [];
    // Of two repeats that disagree the one nearer to all other coupons is not to blame.
    const middle = all.count < 3 ? undefined : Math.log(all.usual);
    const far = (size: number): number => (middle === undefined ? 0 : Math.abs(Math.log(size) - middle));
    if (repeats.count > 0 && far(value) < far(usual)) return [];
    return [{ coupon: coupon.id, column: name, ...oddSize({ response, value, usual, what }) }];
  });
}

function oddSize({
  response: { name, unit },
  value,
  usual,
  what,
}: {
  readonly response: Response;
  readonly value: number;
  readonly usual: number;
  readonly what: string;
}): Pick<GateWarning, "message" | "instead"> {
  const shifted = [value / 10, value * 10].find(
    (one) => Math.abs(Math.log(one / usual)) < Math.log(REPEAT_RATIO),
  );
  const times = value > usual ? "ten times too high" : "ten times too low";
  const guess = shifted === undefined ? undefined : withUnit(settingDigits(shifted), unit);
  return {
    message: `${name} ${withUnit(significant(value), unit)} is far from what ${what}, ${withUnit(significant(usual), unit)}${guess === undefined ? "" : `; it looks ${times}, ${guess} would fit`}`,
    instead: guess ?? withUnit("<value>", unit),
  };
}

function unlikeWire(definition: StudyDefinition, coupon: Coupon): readonly GateWarning[] {
  return massBalances({ definition, coupons: [coupon] }).flatMap((balance): GateWarning[] => {
    if (balance.plausible || strangeness(balance) < BALANCE_DISTANCE) return [];
    const column = balance.responses.height;
    const { unit } = definition.responses.find(({ name }) => name === column)!;
    return [
      {
        coupon: coupon.id,
        column,
        message: `the wire fed does not fit the bead: ${describeBalance([balance])}; check feed, travel speed and sizes`,
        instead: withUnit("<value>", unit),
      },
    ];
  });
}

/**
 * Warnings as lines to print: each with its command, many of one column told once.
 *
 * @param logged - coupons just logged: where most of them are odd the unit is
 */
export function gateText(warnings: readonly GateWarning[], logged = 1): readonly string[] {
  const alike = grouped(warnings, ({ column, message }) => `${column} ${message.replace(/[-\d.]+/g, "#")}`);
  return [...alike.values()].flatMap((group) => {
    const shown = group.length > MOST ? group.slice(0, 1) : group;
    const lines = shown.map(
      ({ coupon, column, message, instead }) =>
        `Mind, ${coupon}: ${message}\n  mend it with: ${correctionCommand(coupon, [column, instead])}`,
    );
    const rest = group.length - shown.length;
    return rest === 0
      ? lines
      : [
          ...lines,
          `  and ${rest} other coupons alike${group.length > logged / 2 ? `: the heading of ${group[0]!.column} may be in another unit` : ""}`,
        ];
  });
}

/** Warnings of one kind about one column, beyond which only the first is told. */
const MOST = 3;
