import { BeadbenchError, ownValue } from "../../errors/index.js";
import { inWords } from "../../numeric/index.js";
import { type Coupon, type Study, type StudyData, suggestion } from "../../study/index.js";
import { blockOf } from "../physical/index.js";

/** Two groups of coupons to hold against each other. */
export interface CouponGroups {
  /** What parts them, such as `day`. */
  readonly what: string;
  /** Labels of the two, as {@link labelOf} gives them. */
  readonly a: string;
  readonly b: string;
  /** The group of a coupon, which may be another than the two; undefined for one that belongs to none. */
  readonly labelOf: (coupon: Coupon) => string | undefined;
  /** The block a coupon shares with others beside this, whose shifts are no doing of the groups; undefined for none. */
  readonly within: (coupon: Coupon) => string | undefined;
  /** Block columns that part coupons beside the groups. */
  readonly besides: readonly string[];
}

/** The day a coupon was logged, which every coupon has. */
const DAY = "day";

/**
 * Two levels of a block column as groups, such as day 1 and day 4; a study without a column `day` has the day of logging
 * (2026-03-01).
 *
 * @param levels - two of them; may be left out where the coupons have no more than two
 * @throws {BeadbenchError} `bad-argument` for a column that is no block, a level without coupons, the same level twice
 */
export function blockGroups(study: StudyData, column: string, levels: readonly string[] = []): CouponGroups {
  const { blocks } = study.definition;
  const named = blocks.includes(column);
  if (!named && column !== DAY) {
    const known = [...new Set([...blocks, DAY])];
    throw new BeadbenchError(
      "bad-argument",
      `"${column}" is no block of this study${suggestion(column, known) || `; it has ${known.join(", ")}`}`,
    );
  }
  const labelOf = (coupon: Coupon): string | undefined =>
    named ? ownBlock(coupon, column) : coupon.time.slice(0, 10);
  const known = [
    ...new Set(study.coupons.flatMap((coupon) => (coupon.state === "logged" ? (labelOf(coupon) ?? []) : []))),
  ].sort(byNumber);
  const [a, b] = chosen(inWords(column), levels, known);
  const others = blocks.filter((name) => name !== column);
  return {
    what: inWords(column),
    a,
    b,
    labelOf,
    within: (coupon) => blockWithin(coupon, others),
    besides: others,
  };
}

/**
 * Coupons before and after the last change of something, such as the tungsten; earlier changes of the same thing part off
 * what was run before them.
 *
 * @throws {BeadbenchError} `bad-argument` where nothing of that name was changed
 */
export function changeGroups(study: StudyData & Pick<Study, "changes">, what: string): CouponGroups {
  const changes = study.changes.filter((change) => change.what === what);
  if (changes.length === 0) {
    const known = [...new Set(study.changes.map((change) => change.what))];
    throw new BeadbenchError(
      "bad-argument",
      `no change of ${what} was logged${suggestion(what, known) || (known.length === 0 ? "; log one with `beadbench log --change`" : `; changed were ${known.join(", ")}`)}`,
    );
  }
  const places = new Map(study.coupons.map(({ id, order }) => [id, order]));
  const starts = changes.map(({ before, time }) => ({
    place: before === undefined ? undefined : places.get(before),
    time: Date.parse(time),
  }));
  const stage = ({ order, time }: Coupon): number =>
    starts.filter((start) =>
      start.place === undefined ? Date.parse(time) > start.time : order >= start.place,
    ).length;
  const names = ["before", "after"] as const;
  return {
    what: `change of ${inWords(what)}`,
    a: names[0],
    b: names[1],
    labelOf: (coupon) => names[stage(coupon) - changes.length + 1] ?? `before, ${stage(coupon)}`,
    within: (coupon) => blockWithin(coupon, study.definition.blocks),
    besides: study.definition.blocks,
  };
}

/** The block of a coupon in one column, if it names one. */
export function ownBlock({ blocks }: Coupon, column: string): string | undefined {
  return ownValue(blocks, column);
}

function blockWithin({ blocks, time }: Coupon, columns: readonly string[]): string | undefined {
  const own = Object.fromEntries(Object.entries(blocks).filter(([name]) => columns.includes(name)));
  return Object.keys(own).length === 0 ? undefined : blockOf({ blocks: own, time });
}

function chosen(
  what: string,
  levels: readonly string[],
  known: readonly string[],
): readonly [string, string] {
  const list = known.length === 0 ? "no coupon names one" : `coupons have ${known.join(", ")}`;
  const missing = levels.find((level) => !known.includes(level));
  if (missing !== undefined)
    throw new BeadbenchError("bad-argument", `no coupon was logged with ${what} ${missing}; ${list}`);
  const [a, b, more] = levels.length === 0 ? known : levels;
  if (a === undefined || b === undefined || more !== undefined || a === b)
    throw new BeadbenchError("bad-argument", `name two different of ${what} to compare; ${list}`);
  return [a, b];
}

/** Numbers by size, words by letters. */
function byNumber(one: string, other: string): number {
  const difference = Number(one) - Number(other);
  return Number.isNaN(difference) ? (one < other ? -1 : 1) : difference;
}
