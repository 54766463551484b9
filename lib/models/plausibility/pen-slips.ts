import { onlyDefined, ownValue } from "../../errors/index.js";
import { processOf, usualRange } from "../../process/handbook/index.js";
import { type ForeseenRow, type SmoothRows, smoothing } from "../../regression/smooth/index.js";
import type { Response, StudyDefinition } from "../../study/definition/index.js";
import { type Coupon, measuredOf, type StudyData, scatterOf } from "../../study/record/index.js";
import { convert, sameDimension } from "../../units/index.js";
import { areGrades, blockOf } from "../physical/index.js";
import { sizeRangeName } from "./quantities.js";
import { SLIP_LOG_ODDS, slipChance } from "./slip-chance.js";
import { smoothInputs } from "./smooth-inputs.js";
import { type Meant, meantInUnit } from "./typed-slips.js";

/** A value that is likelier a slip of the pen than a bead. */
export interface PenSlip {
  readonly coupon: string;
  readonly response: string;
  /** In the response's unit. */
  readonly value: number;
  /** Chance that it is a slip. */
  readonly chance: number;
  /** What the other coupons foresee at its setting: median and 95 % limits. */
  readonly expected: { readonly value: number; readonly lower: number; readonly upper: number };
  /** What was likely meant, where one guess stands out. */
  readonly meant?: Pick<Meant, "value" | "how">;
}

/** Chance of a slip from which it is named. */
const NAMED = 0.3;

/**
 * Values that do not fit what the other coupons foresee at their setting, with the chance that they are slips.
 *
 * Each measured response is smoothed over the settings ({@link smoothing}: a plane in the logarithms, a gentle departure, a
 * shift per block); a value is a good one with the scatter of the rest (Student's t), or a slip: a decimal mark, a digit,
 * a whole unit off, or anything. Slips are set aside one by one, the plainest first, so that they do not hide each other.
 */
export function penSlips({ definition, coupons }: StudyData): readonly PenSlip[] {
  const inputs = smoothInputs({ definition, coupons });
  return definition.responses
    .filter(({ kind }) => kind === "measured")
    .flatMap((response) => {
      const rows = coupons.flatMap((coupon, i): Row[] => {
        const value = measuredOf(coupon, response.name);
        const x = inputs[i];
        return value === undefined || !(value > 0) || x === undefined
          ? []
          : [
              {
                coupon,
                value,
                y: Math.log(value),
                x,
                group: blockOf(coupon),
                meant: meantOf(response, coupon, value),
              },
            ];
      });
      return rows.length < 2 ||
        areGrades(
          response.unit,
          rows.map(({ value }) => value),
        )
        ? []
        : slipsAmong(response, rows, centreOf(definition, response));
    });
}

interface Row {
  readonly coupon: Coupon;
  readonly value: number;
  readonly y: number;
  readonly x: readonly number[];
  readonly group: string;
  readonly meant: readonly Meant[];
}

/** What may have been meant, in the response's unit; a mean of stations was typed by nobody. */
function meantOf({ name, unit }: Response, coupon: Coupon, value: number): readonly Meant[] {
  if (scatterOf(coupon, name) !== undefined) return [];
  return meantInUnit(value, unit, ownValue(coupon.statedUnits, name));
}

/** What is usual for a size on such a process: it tells 60 mm from 6 mm where only two coupons were run. */
type Centre = { readonly mean: number; readonly sd: number } | undefined;

function centreOf({ process }: StudyDefinition, response: Response): Centre {
  const range = usualRange(sizeRangeName(response), processOf(process));
  if (range === undefined || !sameDimension(range.unit, response.unit)) return undefined;
  const [lower, upper] = [range.lower, range.upper].map((end) =>
    Math.log(convert(end, range.unit, response.unit)),
  );
  return { mean: (lower! + upper!) / 2, sd: (upper! - lower!) / 4 };
}

const rowsOf = (rows: readonly Row[], centre: Centre): SmoothRows => ({
  x: rows.map(({ x }) => x),
  y: rows.map(({ y }) => y),
  group: rows.map(({ group }) => group),
  ...onlyDefined({ centre }),
});

function slipsAmong(response: Response, rows: readonly Row[], centre: Centre): readonly PenSlip[] {
  const { likeliest, foreseen, leftOut } = smoothing(rowsOf(rows, centre));
  const columns = rows[0]!.x.length;
  // Degrees of freedom of the scatter: rows less the plane.
  const freedom = (without: number): number => Math.max(4, rows.length - without - columns - 2);
  let fit = likeliest([]);
  let aside: readonly number[] = [];
  let expected = leftOut(aside, fit.spread);
  // At most a quarter of the coupons: more is no slip but another law.
  for (let round = 0; round < Math.max(1, rows.length / 4); round++) {
    const tried = farthest(rows, expected, aside).map((i) => {
      const without = [...aside, i];
      const likely = likeliest(without, round === 0 ? undefined : fit.spread);
      const value = foreseen(without, likely.spread).at(-1)!;
      const { slip } = slipChance(rows[i]!, value, freedom(without.length));
      return { without, likely, gain: likely.evidence + slip - fit.evidence };
    });
    const best = tried.sort((a, b) => b.gain - a.gain)[0];
    // Half as sure as needed to be named: the chances are told in the end, all other slips being set aside.
    if (best === undefined || best.gain < -SLIP_LOG_ODDS - 2) break;
    aside = best.without;
    fit = best.likely;
    expected = leftOut(aside, fit.spread);
  }
  return rows.flatMap((row, i): PenSlip[] => {
    const { mean, sd } = expected[i]!;
    const { chance, meant } = slipChance(row, expected[i]!, freedom(aside.length));
    if (chance < NAMED) return [];
    return [
      {
        coupon: row.coupon.id,
        response: response.name,
        value: row.value,
        chance,
        expected: { value: Math.exp(mean), lower: Math.exp(mean - 2 * sd), upper: Math.exp(mean + 2 * sd) },
        ...onlyDefined({ meant }),
      },
    ];
  });
}

/** Rows tried as the next slip: the ones furthest off what the others foresee. */
const TRIED = 3;

function farthest(
  rows: readonly Row[],
  expected: readonly ForeseenRow[],
  aside: readonly number[],
): readonly number[] {
  return rows
    .map(({ y }, i) => ({ i, z: Math.abs((y - expected[i]!.mean) / expected[i]!.sd) }))
    .filter(({ i }) => !aside.includes(i))
    .sort((a, b) => b.z - a.z)
    .slice(0, TRIED)
    .map(({ i }) => i);
}
