import { codedFromSettings } from "../../design/index.js";
import { BeadbenchError, valueUnless } from "../../errors/index.js";
import { mean, standardDeviation } from "../../numeric/index.js";
import {
  designBasis,
  fitLinear,
  fitRandomBlock,
  informationCriteria,
  type LinearFit,
} from "../../regression/index.js";
import type { DefinedStudy } from "../../study/index.js";
import { codedAxes, type SurfaceOrder, settingLabels, surfaceRows } from "../bead/index.js";
import type { GroupRow, GroupRows } from "./group-rows.js";
import type { CouponGroups } from "./groups.js";

/**
 * How settings were allowed for: all coupons at one setting, each setting with a mean of its own, or a straight or curved
 * law of the settings.
 */
export type AllowedFor = "one-setting" | "same-settings" | "straight" | "curved";

/** What was done about blocks beside the groups, such as the days of two cylinders. */
export type OtherBlocks = "none" | "random" | "fixed" | "not-told-apart";

/** Second group less first, on the scale of the response. */
export interface GroupShift {
  readonly estimate: number;
  readonly standardError: number;
  readonly df: number;
  /** Standard deviation of a single coupon within a group, settings allowed for. */
  readonly scatter: number;
  readonly allowedFor: AllowedFor;
  readonly otherBlocks: OtherBlocks;
}

/** Degrees of freedom from which settings need no law, and how much wider ranges may become for that. */
const WITHOUT_LAW = { df: 4, wider: 1.25 } as const;
/** Coupons of each group at one setting from which scatter need not be taken as alike. */
const WELCH = 4;

/** A regression to choose from. */
interface Layout {
  readonly allowedFor: AllowedFor;
  readonly names: readonly string[];
  readonly x: readonly (readonly number[])[];
}

/** A layout with its fit. */
interface Candidate {
  readonly layout: Layout;
  readonly fit: LinearFit;
}

/** The column of the second group. */
const SHIFT = "second group";

/**
 * By how much one group differs from another at equal settings: the coefficient of the group in a regression that also
 * holds the settings and all other groups,
 *
 *     y = settings + shift of each group against the first + (shift per other block) + scatter.
 *
 * Settings have a mean each where those run in both groups say nearly as much; else a straight or a curved law, whichever AICc
 * prefers. Four or more coupons of each group at one setting are compared by Welch's t.
 *
 * @throws {BeadbenchError} `not-enough-data` where coupons are too few, or groups and settings moved together
 * @source B. L. Welch, Biometrika 34 (1947) 28; analysis of covariance, R's lm(y ~ x + day); blocks by R's nlme
 */
export function groupShift(study: DefinedStudy, data: GroupRows, groups: CouponGroups): GroupShift {
  const { rows } = data;
  const layouts = layoutsOf(study, rows, groups);
  const told = layouts.filter(({ x, names }) => tellsApart(x, names));
  if (told.length === 0) {
    const reason = layouts.some(({ x }) => x.length > 0)
      ? `${groups.what} and settings moved together, so that one cannot be told from the other: run some settings in both`
      : "too few coupons";
    throw new BeadbenchError("not-enough-data", reason);
  }
  const welch = welchShift(rows, groups);
  if (welch !== undefined) return welch;
  const fits = told.flatMap((layout) => {
    const fit = fitted(layout, rows);
    return fit === undefined ? [] : [{ layout, fit }];
  });
  const [first] = fits;
  if (first === undefined)
    throw new BeadbenchError(
      "not-enough-data",
      "too few coupons: none is left over to tell scatter by; repeat a setting in both",
    );
  const best = needsNoLaw(fits) ? first : byCriterion(fits);
  return withOtherBlocks(best.layout, best.fit, rows);
}

/** Whether settings run in both groups say nearly as much as a law would: judged by the layout alone, not by what came out. */
function needsNoLaw(fits: readonly Candidate[]): boolean {
  const [each] = fits;
  if (each?.layout.allowedFor !== "same-settings" || each.fit.df < WITHOUT_LAW.df) return false;
  const law = fits.find(({ layout }) => layout.allowedFor === "straight");
  const size = ({ layout, fit }: Candidate): number =>
    fit.standardErrors[layout.names.indexOf(SHIFT)]! / fit.residualSd;
  return law === undefined || size(each) <= WITHOUT_LAW.wider * size(law);
}

/** The layouts a comparison may rest on, that with fewest beliefs first. */
function layoutsOf(
  study: DefinedStudy,
  rows: readonly GroupRow[],
  { a, b }: CouponGroups,
): readonly Layout[] {
  const settings = rows.map(({ coupon }) => coupon.settings);
  const others = [...new Set(rows.map(({ label }) => label))].filter((label) => label !== a && label !== b);
  const shifts = rows.map(({ label }) => [b, ...others].map((one) => Number(label === one)));
  const shiftNames = [SHIFT, ...others.map((_, i) => `other group ${i}`)];
  const beside = (
    allowedFor: AllowedFor,
    names: readonly string[],
    x: readonly (readonly number[])[],
  ): Layout => ({
    allowedFor,
    names: [...names, ...shiftNames],
    x: x.map((row, i) => [...row, ...shifts[i]!]),
  });
  const labels = settingLabels(settings);
  const cells = [...new Set(labels)];
  if (cells.length === 1)
    return [
      beside(
        "one-setting",
        ["constant"],
        rows.map(() => [1]),
      ),
    ];
  const each = beside(
    "same-settings",
    cells.map((_, i) => `setting ${i}`),
    labels.map((label) => cells.map((cell) => Number(cell === label))),
  );
  const { axes } = codedAxes(study.definition, settings);
  const law = (order: SurfaceOrder): Layout => {
    const { names, row } = surfaceRows(axes, order);
    return beside(
      order === "linear" ? "straight" : "curved",
      names,
      settings.map((setting) => row(codedFromSettings(axes, setting, "setting"))),
    );
  };
  return [each, law("linear"), law("quadratic")];
}

/** Whether the column of the second group is no combination of the others. */
function tellsApart(x: readonly (readonly number[])[], names: readonly string[]): boolean {
  const at = names.indexOf(SHIFT);
  const without = x.map((row) => row.filter((_, j) => j !== at));
  const rest = names.filter((name) => name !== SHIFT);
  return designBasis(x, names).rank > designBasis(without, rest).rank;
}

/** Sums of squares below this share of those of the values are rounding. */
const ROUNDING = 1e-20;

function fitted({ x, names }: Layout, rows: readonly GroupRow[]): LinearFit | undefined {
  const y = rows.map((row) => row.y);
  const fit = valueUnless("not-enough-data", () => fitLinear({ x, y }, { names }));
  const size = y.reduce((sum, value) => sum + value ** 2, 0);
  return fit !== undefined && fit.df >= 1 && fit.rss > ROUNDING * size ? fit : undefined;
}

/** The law AICc prefers; settings with a mean each only where no law can be fitted. */
function byCriterion(fits: readonly Candidate[]): Candidate {
  const laws = fits.filter(({ layout }) => layout.allowedFor !== "same-settings");
  const scored = laws.flatMap((one) => {
    const aicc = valueUnless("not-enough-data", () => informationCriteria(one.fit).aicc);
    return aicc === undefined ? [] : [{ one, aicc }];
  });
  const [best] = scored.sort((p, q) => p.aicc - q.aicc);
  return best?.one ?? laws[0] ?? fits[0]!;
}

function welchShift(rows: readonly GroupRow[], { a, b }: CouponGroups): GroupShift | undefined {
  const own = rows.filter(({ label }) => label === a || label === b);
  if (new Set(settingLabels(own.map(({ coupon }) => coupon.settings))).size > 1) return undefined;
  if (new Set(own.map(({ within }) => within)).size > 1) return undefined;
  const [first, second] = [a, b].map((side) => own.filter(({ label }) => label === side).map(({ y }) => y));
  if (first!.length < WELCH || second!.length < WELCH) return undefined;
  const parts = [first!, second!].map((values) => {
    const variance = standardDeviation(values) ** 2;
    return { variance, ofMean: variance / values.length, df: values.length - 1 };
  });
  const total = parts.reduce((sum, { ofMean }) => sum + ofMean, 0);
  if (!(total > 0)) return undefined;
  return {
    estimate: mean(second!) - mean(first!),
    standardError: Math.sqrt(total),
    df: total ** 2 / parts.reduce((sum, { ofMean, df }) => sum + ofMean ** 2 / df, 0),
    scatter: Math.sqrt(mean(parts.map(({ variance }) => variance))),
    allowedFor: "one-setting",
    otherBlocks: "none",
  };
}

/** Blocks beside the groups from which their shifts can be taken as drawn by chance. */
const LEAST_BLOCKS = 3;

function withOtherBlocks(
  { names, x, allowedFor }: Layout,
  fit: LinearFit,
  rows: readonly GroupRow[],
): GroupShift {
  const at = names.indexOf(SHIFT);
  const plain = (of: LinearFit, otherBlocks: OtherBlocks): GroupShift => ({
    estimate: of.estimates[at]!,
    standardError: of.standardErrors[at]!,
    df: of.df,
    scatter: of.residualSd,
    allowedFor,
    otherBlocks,
  });
  const blocks = rows.map(({ within }) => within ?? "");
  const distinct = [...new Set(blocks)];
  if (distinct.length < 2) return plain(fit, "none");
  const y = rows.map((row) => row.y);
  const fixedNames = [...names, ...distinct.slice(1).map((_, i) => `block ${i}`)];
  const fixedX = x.map((row, i) => [...row, ...distinct.slice(1).map((one) => Number(blocks[i] === one))]);
  const crossed = tellsApart(fixedX, fixedNames);
  if (distinct.length >= LEAST_BLOCKS) {
    const kept = names.filter((name) => !fit.aliased.some(({ term }) => term === name));
    const columns = kept.map((name) => names.indexOf(name));
    const random = valueUnless("not-enough-data", () =>
      fitRandomBlock({ x: x.map((row) => columns.map((j) => row[j]!)), y, block: blocks }, { names: kept }),
    );
    const place = kept.indexOf(SHIFT);
    if (
      random?.doubt !== undefined &&
      place >= 0 &&
      random.df[place]! >= 1 &&
      random.standardErrors[place]! > 0
    )
      return {
        estimate: random.estimates[place]!,
        standardError: random.standardErrors[place]!,
        df: random.df[place]!,
        scatter: Math.sqrt(random.errorVariance),
        allowedFor,
        otherBlocks: "random",
      };
  }
  const withShifts = crossed ? fitted({ x: fixedX, names: fixedNames, allowedFor }, rows) : undefined;
  return withShifts === undefined ? plain(fit, "not-told-apart") : plain(withShifts, "fixed");
}
