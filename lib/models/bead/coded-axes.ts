import { type Axis, type DesignFactor, makeAxes, polynomialBasis } from "../../design/index.js";
import { BeadbenchError, ownValue } from "../../errors/index.js";
import { rounds } from "../../numeric/index.js";
import type { StudyDefinition } from "../../study/index.js";
import type { Settings } from "../settings/index.js";

/** A flat surface, or one with squares and products of two. */
export type SurfaceOrder = "linear" | "quadratic";

/** The factors that vary, coded over the range of these settings; and those that do not. */
export function codedAxes(
  definition: StudyDefinition,
  settings: readonly Settings[],
): { readonly axes: readonly Axis[]; readonly held: readonly string[] } {
  const varied: DesignFactor[] = [];
  const held: string[] = [];
  for (const { name, unit, kind } of definition.factors) {
    const values = settings.map((setting) => ownValue(setting, name)!);
    // Twelve digits, as axes hold them: settings that differ by rounding are one.
    const levels = [...new Set(values.map((v) => (typeof v === "number" ? rounds(v, 12) : v)))];
    if (levels.length < 2) held.push(name);
    else varied.push({ name, unit, levels, kind: kind === "category" ? "category" : "discrete" });
  }
  if (varied.length === 0) {
    throw new BeadbenchError("not-enough-data", "no setting varies among the coupons");
  }
  return { axes: makeAxes(varied), held };
}

/** The columns of a surface: their names, and the row of a coded setting. */
export function surfaceRows(
  axes: readonly Axis[],
  order: SurfaceOrder,
): { readonly names: readonly string[]; readonly row: (coded: readonly number[]) => readonly number[] } {
  const { names, size, fill } = polynomialBasis(axes, order);
  const out = new Float64Array(size);
  return {
    names,
    row(coded) {
      fill(coded, out);
      return Array.from(out);
    },
  };
}
