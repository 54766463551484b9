import { type Finding, valueUnless } from "../../errors/index.js";
import { inWords, levelPercent, percent } from "../../numeric/index.js";
import { isRounding } from "../../regression/common/index.js";
import {
  blockEstimatesWithout,
  compareNested,
  type Fold,
  fitLinear,
  fitRandomBlock,
  type LackOfFit,
  type LinearFit,
  type RandomBlockFit,
} from "../../regression/index.js";
import type { Coupon, StudyDefinition } from "../../study/index.js";
import { blockOf } from "../physical/index.js";
import { LEAST_BLOCKS } from "./left-out.js";
import { errorText } from "./response-scale.js";

/** The blocks of a study's coupons. */
export interface CouponBlocks {
  /** What a block is, such as `day`; `block (day, cylinder)` where several columns part the coupons. */
  readonly what: string;
  /** One label per coupon. */
  readonly labels: readonly string[];
}

/** How much a response shifts from block to block. Plain data. */
export interface BlockShift {
  /** What a block is. */
  readonly what: string;
  readonly blocks: number;
  /** Standard deviation of the shifts, in the unit of the form's errors. */
  readonly sd: number;
  /** Where it lies; without an upper end where the blocks are too few to give one. */
  readonly interval: { readonly lower: number; readonly upper?: number };
  /** Share of the shifts in the variance of a coupon of a block to come. */
  readonly share: number;
  /** Chance of blocks as unlike as these were there no shift at all. */
  readonly p: number;
}

/** A regression with a shift per block. */
export interface ShiftedRegression {
  readonly what: string;
  /** On the scale of the form. */
  readonly random: RandomBlockFit;
  /** Chance of blocks as unlike as these were there no shift at all. */
  readonly p: number;
  /** Estimates without the coupons of each fold in turn; undefined where the others do not determine them. */
  readonly without: readonly (readonly number[] | undefined)[];
  /** Lack of fit within blocks. Absent without repeats. */
  readonly lackOfFit?: LackOfFit;
}

/** The blocks of coupons; undefined where the study has none, or only one block was run. */
export function couponBlocks(
  { blocks }: StudyDefinition,
  coupons: readonly Coupon[],
): CouponBlocks | undefined {
  if (blocks.length === 0) return undefined;
  const labels = coupons.map(blockOf);
  if (new Set(labels).size < 2) return undefined;
  const names = blocks.map((name) => inWords(name));
  return { what: names.length === 1 ? names[0]! : `block (${names.join(", ")})`, labels };
}

/** `day to day`, or `block to block (day, cylinder)`. */
export function fromTo(what: string): string {
  const [word, ...rest] = what.split(" (");
  return [`${word} to ${word}`, ...rest].join(" (");
}

/**
 * Fits a linear regression with a random shift per block.
 *
 * @param x - one row per coupon, the constant included
 * @returns undefined, as without blocks, where blocks are fewer than three, coupons too few, or shifts cannot be seen
 *   because every block holds one coupon or the settings explain all differences; {@link shiftsUnseen} says so
 */
export function shiftedRegression(
  blocks: CouponBlocks | undefined,
  data: {
    readonly names: readonly string[];
    readonly x: readonly (readonly number[])[];
    readonly y: readonly number[];
    /** Coupons run at the same settings carry the same label; absent where lack of fit has no meaning. */
    readonly settings?: readonly string[];
    readonly folds: readonly Fold[];
  },
  level: number,
): ShiftedRegression | undefined {
  if (blocks === undefined || new Set(blocks.labels).size < LEAST_BLOCKS) return undefined;
  const { names, x, y, settings, folds } = data;
  // Two variances and AICc need one coupon more than a regression without blocks.
  if (y.length < names.length + 4) return undefined;
  const observations = { x, y, block: blocks.labels };
  const random = fitRandomBlock(observations, { names, level });
  if (random.doubt === undefined || !(random.errorVariance > 0)) return undefined;
  const shifts = dummies(blocks.labels);
  const fixed = fitWith(x, shifts, y);
  if (fixed.df < 1 || isRounding(fixed.rss, Math.hypot(...y))) return undefined;
  const test = settings && lackOfFitWithin({ form: fixed, shifts, y, settings });
  return {
    what: blocks.what,
    random,
    p: compareNested(fitWith(x, [], y), fixed).p,
    without: blockEstimatesWithout({
      data: observations,
      names,
      ratio: random.blockVariance / random.errorVariance,
      folds,
    }),
    ...(test === undefined ? {} : { lackOfFit: test }),
  };
}

/** Akaike criteria of a regression with shifts, from its likelihood without restriction. */
export function shiftedCriteria({ random }: ShiftedRegression): {
  readonly aic: number;
  readonly aicc: number;
} {
  const n = random.residuals.length;
  const k = random.estimates.length - random.aliased.length + 2;
  const aic = -2 * random.fullLogLikelihood + 2 * k;
  return { aic, aicc: aic + (2 * k * (k + 1)) / (n - k - 1) };
}

/** The shift as reports tell it. @param inUnits - a standard deviation on the form's scale in the unit of its errors */
export function blockShift(
  { what, random, p }: ShiftedRegression,
  inUnits: (sd: number) => number,
): BlockShift {
  const { errorVariance, blockVariance, blockEffects } = random;
  const ofBlock = random.varianceIntervals[1]!;
  const at = (variance: number): number => inUnits(Math.sqrt(variance));
  return {
    what,
    blocks: blockEffects.length,
    sd: inUnits(Math.sqrt(blockVariance)),
    interval: {
      lower: at(ofBlock.lower),
      ...(ofBlock.upper === Number.MAX_VALUE ? {} : { upper: at(ofBlock.upper) }),
    },
    share: blockVariance / (blockVariance + errorVariance),
    p,
  };
}

/** Standard deviation of a coupon of a block to come, on the form's scale. */
export function totalSd({ errorVariance, blockVariance }: RandomBlockFit): number {
  return Math.sqrt(errorVariance + blockVariance);
}

/** A column per label, 1 where it applies. */
function dummies(labels: readonly string[]): readonly (readonly number[])[] {
  const distinct = [...new Set(labels)];
  return labels.map((label) => distinct.map((other) => (other === label ? 1 : 0)));
}

/** Least squares on rows side by side. */
function fitWith(
  x: readonly (readonly number[])[],
  beside: readonly (readonly number[])[],
  y: readonly number[],
): LinearFit {
  const all = x.map((row, i) => [...row, ...(beside[i] ?? [])]);
  return fitLinear({ x: all, y }, { names: all[0]!.map((_, j) => `x${j}`) });
}

/** Settings with a mean of their own and blocks with a fixed shift, against the form with the same shifts. */
function lackOfFitWithin({
  form,
  shifts,
  y,
  settings,
}: {
  readonly form: LinearFit;
  readonly shifts: readonly (readonly number[])[];
  readonly y: readonly number[];
  readonly settings: readonly string[];
}): LackOfFit | undefined {
  return valueUnless("not-enough-data", () => {
    const means = fitWith(dummies(settings), shifts, y);
    if (means.df < 1 || form.df <= means.df || !(means.rss > 0)) return undefined;
    const { f, df1, df2, p } = compareNested(form, means);
    return {
      lackOfFit: { ss: Math.max(0, form.rss - means.rss), df: df1 },
      pureError: { ss: means.rss, df: df2 },
      f,
      p,
      pureErrorSd: means.residualSd,
      settings: new Set(settings).size,
      findings: [],
    };
  });
}

/**
 * The shift in a sentence: its size with its interval, its share, and how few blocks speak.
 *
 * @param unit - of the shift; "1" where it is relative, which prints as per cent
 * @param level - of the interval, as a share
 */
export function shiftText(shift: BlockShift, unit: string, level: number): string {
  const { what, blocks, sd, interval, share } = shift;
  const { lower, upper } = interval;
  const size = (value: number): string => errorText(value, unit);
  const range = upper === undefined ? `${size(lower)} or more` : `${size(lower)} to ${size(upper)}`;
  const few = blocks < 5 ? `, and ${blocks} blocks say little of it` : "";
  return sd === 0
    ? `no shift from ${fromTo(what)} beyond scatter (at ${levelPercent(level)} ${range})${few}`
    : `beads shift by ${size(sd)} from ${fromTo(what)} (at ${levelPercent(level)} ${range}), ${percent(share)} of the variance${few}`;
}

/** Said where a study has blocks and its fits take no shift from them. */
export function shiftsUnseen(blocks: CouponBlocks | undefined, seen: boolean): readonly Finding[] {
  if (blocks === undefined || seen) return [];
  const count = new Set(blocks.labels).size;
  const [word] = blocks.what.split(" (");
  const why =
    count < LEAST_BLOCKS
      ? `${count} blocks are too few to tell how much beads shift from ${fromTo(blocks.what)}`
      : `how much beads shift from ${fromTo(blocks.what)} cannot be told apart from settings and scatter`;
  return [
    {
      code: "shifts-unseen",
      severity: "warning",
      message: `${why}; intervals hold for the blocks that were run, and a coupon of another ${word} may lie outside`,
      advice: "repeat some settings in every block, over five blocks or more",
    },
  ];
}

/** Said of a form whose response shifts from block to block by more than chance, or by a good part of its scatter. */
export function shiftFindings({
  response,
  shift,
  unit,
  level,
}: {
  readonly response: string;
  readonly shift: BlockShift | undefined;
  readonly unit: string;
  readonly level: number;
}): readonly Finding[] {
  if (shift === undefined || (shift.p >= 0.05 && shift.share < 0.2)) return [];
  return [
    {
      code: "block-shift",
      severity: shift.p < 0.05 ? "warning" : "info",
      message: `${response}: ${shiftText(shift, unit, level)}`,
      advice:
        "intervals and left-out errors count the shift of a block to come; find out what changes between blocks, and spread repeats over five blocks or more",
      about: [response],
    },
  ];
}
