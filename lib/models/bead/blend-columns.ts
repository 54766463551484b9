import { type Axis, codedFromSettings } from "../../design/index.js";
import type { DefinedStudy } from "../../study/index.js";
import type { Settings } from "../settings/index.js";
import { codedAxes, surfaceRows } from "./coded-axes.js";

/** How settings become the columns of a blended surface. Plain data. */
export interface BlendAxes {
  /** The settings that vary, over the coupons' ranges. */
  readonly axes: readonly Axis[];
  /** Per axis, whether its logarithm is coded: numbers above 0. */
  readonly logs: readonly boolean[];
}

/** The columns of one setting. */
export interface BlendPoint {
  readonly straight: readonly number[];
  readonly bent: readonly number[];
}

/** The settings that vary among coupons: logarithms where all are above 0. */
export function blendAxes({ definition }: DefinedStudy, settings: readonly Settings[]): BlendAxes {
  const { axes } = codedAxes(definition, settings);
  return { axes, logs: axes.map(({ category, low }) => !category && low > 0) };
}

/** Settings as straight columns, -1 to +1 over the coupons' ranges, and as squares and products of them. */
export function blendPoints({ axes, logs }: BlendAxes, settings: readonly Settings[]): readonly BlendPoint[] {
  const line = surfaceRows(axes, "linear");
  const surface = surfaceRows(axes, "quadratic");
  const isStraight = new Set(line.names);
  return settings.map((setting) => {
    const coded = codedFromSettings(axes, setting, "setting").map((x, j) => {
      const { low, high, name } = axes[j]!;
      return logs[j] ? (2 * Math.log(Number(setting[name]) / low)) / Math.log(high / low) - 1 : x;
    });
    return {
      straight: line.row(coded).slice(1),
      bent: surface.row(coded).filter((_, k) => !isStraight.has(surface.names[k]!)),
    };
  });
}
