import { ownValue } from "../../errors/index.js";
import type { Coupon, Factor, StudyData } from "../../study/index.js";

/**
 * The settings of coupons as inputs of a smooth: logarithms where all are positive, a level of a category each, scaled to
 * a range of 1 about 0. Undefined for a coupon that lacks a setting.
 */
export function smoothInputs({ definition, coupons }: StudyData): readonly (readonly number[] | undefined)[] {
  const columns = definition.factors.flatMap((factor) => columnsOf(factor, coupons));
  return coupons.map((_, i) => {
    const row = columns.map((column) => column[i]!);
    return row.every(Number.isFinite) ? row : undefined;
  });
}

function columnsOf({ name, kind, levels = [] }: Factor, coupons: readonly Coupon[]): readonly number[][] {
  if (kind === "category") {
    return levels
      .slice(1)
      .map((level) =>
        coupons.map(({ settings }) => (ownValue(settings, name) === String(level) ? 0.5 : -0.5)),
      );
  }
  const values = coupons.map(({ settings }) => Number(ownValue(settings, name) ?? Number.NaN));
  const known = values.filter(Number.isFinite);
  const scaled = known.every((value) => value > 0) ? values.map(Math.log) : values;
  const finite = scaled.filter(Number.isFinite);
  const [low, high] = [Math.min(...finite), Math.max(...finite)];
  return high > low ? [scaled.map((value) => (value - low) / (high - low) - 0.5)] : [];
}
