import { predictRandomBlock, type RandomBlockFit } from "../../regression/index.js";
import { type BlockShift, blockShift, type ShiftedRegression, shiftedRegression } from "./block-shifts.js";
import type { ConstrainedData } from "./constrained-data.js";

/** The two regressions of a constrained form, each with shifts from block to block. */
export interface ConstrainedRandom {
  /** ln width on 1, ln(setting / reference) ... and the coupon's own balance. */
  readonly width: RandomBlockFit;
  /** The balance ln(w h / A) on 1. */
  readonly balance: RandomBlockFit;
}

/** {@link ConstrainedRandom} with what left-out errors and reports need. */
export interface ConstrainedShifts {
  readonly width: ShiftedRegression;
  readonly balance: ShiftedRegression;
  /** Of width and height, each on the settings alone. */
  readonly shifts: { readonly width: BlockShift; readonly height: BlockShift };
}

/**
 * Fits the constrained form with a shift per block in width and in balance. What a coupon's balance has in common with
 * its width is taken as the same between blocks as within them.
 *
 * @returns undefined where the blocks cannot tell, see {@link shiftedRegression}
 */
export function constrainedShifts({
  data,
  balance,
  names,
  level,
}: {
  readonly data: ConstrainedData;
  readonly balance: readonly number[];
  /** Parameters of the width, its balance last. */
  readonly names: readonly string[];
  readonly level: number;
}): ConstrainedShifts | undefined {
  const regress = (x: readonly (readonly number[])[], y: readonly number[], terms: readonly string[]) =>
    shiftedRegression(data.blocks, { names: terms, x, y, folds: data.folds }, level);
  const ones = balance.map(() => [1]);
  const ofBalance = regress(ones, balance, ["-ln c"]);
  if (ofBalance === undefined) return undefined;
  const middle = ofBalance.random.estimates[0]!;
  const rows = data.x.map((row, i) => [1, ...row, balance[i]! - middle]);
  const settings = data.x.map((row) => [1, ...row]);
  const width = regress(rows, data.logWidth, names);
  const own = names.slice(0, -1);
  const widthAlone = regress(settings, data.logWidth, own);
  const heightAlone = regress(
    settings,
    data.logHeight.map((log, i) => log - data.logArea[i]!),
    own,
  );
  if (width === undefined || widthAlone === undefined || heightAlone === undefined) return undefined;
  const relative = (sd: number): number => sd;
  return {
    width,
    balance: ofBalance,
    shifts: { width: blockShift(widthAlone, relative), height: blockShift(heightAlone, relative) },
  };
}

/** A standard deviation with its degrees of freedom. */
interface Spread {
  readonly sd: number;
  readonly df: number;
}

/** Two independent variances added, with Satterthwaite's degrees of freedom. */
function added(a: Spread, b: Spread): Spread {
  const variance = a.sd ** 2 + b.sd ** 2;
  return { sd: Math.sqrt(variance), df: variance ** 2 / (a.sd ** 4 / a.df + b.sd ** 4 / b.df) };
}

/**
 * Spread of the mean and of a coupon of a block to come, of ln width or ln height.
 *
 * @param at - the row of the width, its balance 0, and the share of the balance that goes into this response
 */
export function constrainedSpread(
  { width, balance }: ConstrainedRandom,
  { row, share }: { readonly row: readonly number[]; readonly share: number },
  level: number,
): { readonly ofMean: Spread; readonly ofNext: Spread } {
  const [own] = predictRandomBlock(width, [row], level);
  const [middle] = predictRandomBlock(balance, [[1]], level);
  const { standardError, df, next } = own!;
  const part = Math.abs(share);
  const withDoubt = Math.hypot(share, width.standardErrors.at(-1)!);
  return {
    ofMean: added({ sd: standardError, df }, { sd: part * middle!.standardError, df: middle!.df }),
    ofNext: added(next, { sd: withDoubt * middle!.next.sd, df: middle!.next.df }),
  };
}
