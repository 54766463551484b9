import { type Axis, makeAxes, meetsLimits, nearestLevel } from "../design/index.js";
import { ownValue } from "../errors/index.js";
import { type Coordinate, type Settings, settingLimits, toCoordinates } from "../models/index.js";
import type { StudyDefinition } from "../study/index.js";

/** One index per factor into the values it can be set to. */
export type GridPoint = readonly number[];

/** A limit of the study that settings break, with the value it has there. */
export interface BrokenLimit {
  readonly name: string;
  readonly unit: string;
  readonly value: number;
  readonly min?: number;
  readonly max?: number;
}

/** The settings a rig can be set to, and which of them the study's limits allow. */
export interface SettingGrid {
  readonly axes: readonly Axis[];
  readonly settings: (point: GridPoint) => Settings;
  /** Point on the model's axes. */
  readonly coordinates: (point: GridPoint) => Float64Array;
  readonly allowed: (point: GridPoint) => boolean;
  /** The study's limits that settings break; these may lie between the rig's steps. */
  readonly broken: (settings: Settings) => readonly BrokenLimit[];
  /** Nearest point to numbers between 0 and 1, evenly spread on the model's axes. */
  readonly fromUnit: (unit: readonly number[]) => GridPoint;
  /** The same numbers of a point. */
  readonly toUnit: (point: GridPoint) => readonly number[];
  readonly nearest: (settings: Settings) => GridPoint;
}

/** Makes the grid of a study. */
export function makeGrid(definition: StudyDefinition, coordinates: readonly Coordinate[]): SettingGrid {
  const axes = makeAxes(definition.factors);
  const limits = settingLimits({ definition });
  const kinds = axes.map((axis) => coordinates.find((coordinate) => coordinate.factor === axis.name)!);
  const settings = (point: GridPoint): Settings =>
    Object.fromEntries(axes.map((axis, j) => [axis.name, axis.values[point[j]!]!]));
  /** Values of each factor as 0 to 1, in proportion to the model's axis. */
  const units = axes.map((axis, j) => {
    const last = axis.values.length - 1;
    if (axis.category) return axis.values.map((_, i) => (i + 0.5) / (last + 1));
    const { low, high } = definition.factors[j]!;
    const log = kinds[j]!.kind === "log";
    const scale = (value: number): number => (log ? Math.log(value) : value);
    return axis.values.map((value) => (scale(Number(value)) - scale(low)) / (scale(high) - scale(low)));
  });
  return {
    axes,
    settings,
    coordinates: (point) => toCoordinates(coordinates, settings(point)),
    broken: (wanted) =>
      limits
        .filter((limit) => !meetsLimits([limit], wanted))
        .map(({ value, unit = "1", ...limit }) => ({ ...limit, unit, value: value(wanted) })),
    allowed: (point) => limits.length === 0 || meetsLimits(limits, settings(point)),
    fromUnit: (unit) => units.map((values, j) => nearestIndex(values, unit[j]!)),
    toUnit: (point) => point.map((index, j) => units[j]![index]!),
    nearest: (wanted) =>
      axes.map((axis, j) => {
        if (axis.category) return Math.max(0, axis.values.indexOf(ownValue(wanted, axis.name)!));
        const { low, high } = definition.factors[j]!;
        return nearestLevel(axis, (2 * (Number(ownValue(wanted, axis.name)) - low)) / (high - low) - 1);
      }),
  };
}

/** Index of the value nearest to `wanted` in an ascending list. */
function nearestIndex(values: readonly number[], wanted: number): number {
  let low = 0;
  let high = values.length - 1;
  while (high - low > 1) {
    const middle = (low + high) >> 1;
    if (values[middle]! <= wanted) low = middle;
    else high = middle;
  }
  return wanted - values[low]! <= values[high]! - wanted ? low : high;
}
