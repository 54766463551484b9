import type { Finding } from "../../errors/index.js";
import { fixed, percent } from "../../numeric/index.js";
import { richestModel } from "../classical/index.js";
import { basisOf, covarianceOf } from "../model/index.js";
import { fillRow } from "../optimal/index.js";
import type { Region } from "../region/index.js";
import type { Candidate } from "../runs/index.js";
import type { Haven } from "./bend.js";

const levelText = ({ level, asWanted }: Haven): string =>
  `${percent(level)}${asWanted ? "" : ", all that is sensible where even the safest setting is no surer"}`;

const OFF = "survival switched off (plan --survival off) places them as if every coupon gave dimensions";

/** Where coupons were chosen from. */
export function keptFinding(haven: Haven): Finding {
  return {
    code: "kept-where-coupons-live",
    severity: "info",
    message: `coupons were chosen where their chance to give dimensions is at least ${levelText(haven)}`,
    advice: OFF,
  };
}

/** What pulling coupons to where they live changes, and what it costs. */
export function bentFinding(
  region: Region,
  {
    before,
    after,
    haven,
  }: {
    readonly before: readonly Candidate[];
    readonly after: readonly Candidate[];
    readonly haven: Haven;
  },
): readonly Finding[] {
  const moved = after.filter((candidate, i) => candidate.point !== before[i]!.point).length;
  if (moved === 0) return [];
  const living = (some: readonly Candidate[]): number =>
    some.reduce((sum, { point }) => sum + region.lives(point), 0);
  const towards = haven.atCentre ? "the centre" : "the safest setting, since the centre would hardly survive";
  const cost = costText(region, before, after);
  return [
    {
      code: "bent-into-life",
      severity: "info",
      message: `${moved} of ${after.length} coupons would hardly have survived and were pulled towards ${towards}, until their chance to give dimensions was ${levelText(haven)}: ${fixed(living(before), 1)} coupons were expected to give dimensions, now ${fixed(living(after), 1)}${cost}`,
      advice: OFF,
    },
  ];
}

/** What the move does to the information of the richest model that all coupons together could tell. */
function costText(region: Region, before: readonly Candidate[], after: readonly Candidate[]): string {
  const model = richestModel(region.axes, after.length);
  if (model === undefined) return "";
  const basis = basisOf(region.axes, model, 1);
  const coded = new Float64Array(region.axes.length + 1);
  const information = (where: Region, some: readonly Candidate[]): number => {
    const rows = some.map(({ point }) => {
      const row = new Float64Array(basis.size);
      fillRow(where, basis, point, 0, coded, row);
      return row;
    });
    const found = covarianceOf({ rows, plots: rows.map((_, i) => i), varianceRatio: 0 });
    return found === undefined ? 0 : Math.exp(found.logDeterminant / basis.size);
  };
  const ratio = (where: Region): string | undefined => {
    const whole = information(where, before);
    return whole === 0 ? undefined : percent(information(where, after) / whole);
  };
  const expected = ratio(region);
  const ifAll = ratio({ ...region, lives: () => 1 });
  return [
    expected === undefined
      ? ""
      : `; expected information about the ${model} model is ${expected} of what it was`,
    ifAll === undefined
      ? ""
      : `${expected === undefined ? "; information" : ", and"} if every coupon lived ${ifAll}`,
  ].join("");
}
