import { type Axis, codedFromSettings } from "../../design/index.js";
import { ownValue } from "../../errors/index.js";
import type { BlendedPoint } from "../../regression/index.js";
import type { DefinedStudy } from "../../study/index.js";
import type { Settings } from "../settings/index.js";
import { codedAxes, surfaceRows } from "./coded-axes.js";

/** How settings become the columns of a blended surface. Plain data. */
export interface BlendAxes {
  /** The settings that vary, over the coupons' ranges. */
  readonly axes: readonly Axis[];
  /** Per axis, whether its logarithm is coded as well: numbers above 0. */
  readonly logs: readonly boolean[];
}

/** The settings that vary among coupons: also by their logarithms where all are above 0. */
export function blendAxes({ definition }: DefinedStudy, settings: readonly Settings[]): BlendAxes {
  const { axes } = codedAxes(definition, settings);
  return { axes, logs: axes.map(({ category, low }) => !category && low > 0) };
}

/**
 * Settings as straight columns, -1 to +1 over the coupons' ranges, and as squares and products of them: of logarithms
 * where there are any, as in a power law, and otherwise of the settings as they are, since no rig promises either.
 */
export function blendPoints(
  { axes, logs }: BlendAxes,
  settings: readonly Settings[],
): readonly BlendedPoint[] {
  const line = surfaceRows(axes, "linear");
  const surface = surfaceRows(axes, "quadratic");
  const isStraight = new Set(line.names);
  const columns = (coded: readonly number[]) => ({
    straight: line.row(coded).slice(1),
    bent: surface.row(coded).filter((_, k) => !isStraight.has(surface.names[k]!)),
  });
  return settings.map((setting) => {
    const plain = codedFromSettings(axes, setting, "setting");
    if (!logs.includes(true)) return columns(plain);
    const powers = plain.map((x, j) => {
      const { low, high, name } = axes[j]!;
      return logs[j] ? (2 * Math.log(Number(ownValue(setting, name)) / low)) / Math.log(high / low) - 1 : x;
    });
    return { ...columns(powers), otherwise: columns(plain) };
  });
}
