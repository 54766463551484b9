import { BeadbenchError, ownValue } from "../../errors/index.js";
import type { Factor, StudyDefinition } from "../../study/index.js";
import { convert } from "../../units/index.js";
import {
  isPhysicalQuantity,
  type PhysicalQuantity,
  physicalUnits,
  type Settings,
} from "../settings/index.js";

/**
 * One axis of the space the models work in, zero at the middle of the factor's range: the logarithm of a
 * positive setting, a setting on the scale -1 to +1, or the presence of one level of a category.
 */
export interface Coordinate {
  readonly factor: string;
  readonly kind: "log" | "linear" | "level";
  /** Level the axis stands for, when `kind` is "level". */
  readonly level?: string;
  /** Middle of the range: ln(setting) for "log", setting for "linear". */
  readonly centre: number;
  /** Setting units per unit of the axis; 1 unless "linear". */
  readonly scale: number;
  /** Half the range on the axis. */
  readonly half: number;
  /** What the physics knows it as. */
  readonly quantity?: PhysicalQuantity;
  /** Standard deviation of what the rig holds about the setting asked for, in the factor's unit. */
  readonly settingSd: number;
}

function coordinatesOf(factor: Factor): readonly Coordinate[] {
  const { name, low, high } = factor;
  if (factor.kind === "category") {
    return (factor.levels ?? []).map((level) => ({
      factor: name,
      kind: "level",
      level: String(level),
      centre: 0,
      scale: 1,
      half: 1,
      settingSd: 0,
    }));
  }
  const settingSd = factor.settingSd ?? 0;
  if (isPhysicalQuantity(name) && name !== "interpass_temperature" && low > 0) {
    const centre = 0.5 * (Math.log(low) + Math.log(high));
    const half = 0.5 * Math.log(high / low);
    return [{ factor: name, kind: "log", centre, scale: 1, half, quantity: name, settingSd }];
  }
  const scale = 0.5 * (high - low);
  return [{ factor: name, kind: "linear", centre: 0.5 * (low + high), scale, half: 1, settingSd }];
}

/** The axes of a study, factor by factor. */
export function studyCoordinates(definition: StudyDefinition): readonly Coordinate[] {
  return definition.factors.flatMap(coordinatesOf);
}

/** Whether an axis has a place for a value. */
const hasPlace = ({ kind }: Coordinate, value: unknown): value is number | string =>
  kind === "level"
    ? value !== undefined
    : typeof value === "number" && Number.isFinite(value) && (kind === "linear" || value > 0);

/** The factors for which settings have no place on the axes: missing, or no number where one is due. */
export function unplaced(coordinates: readonly Coordinate[], settings: Settings): readonly string[] {
  const without = coordinates.filter((axis) => !hasPlace(axis, ownValue(settings, axis.factor)));
  return [...new Set(without.map(({ factor }) => factor))];
}

/**
 * Settings as a point on the axes.
 *
 * @throws {BeadbenchError} `bad-argument` for a missing setting, or one that is no number where one is due
 */
export function toCoordinates(coordinates: readonly Coordinate[], settings: Settings): Float64Array {
  const point = new Float64Array(coordinates.length);
  coordinates.forEach((axis, j) => {
    const value = ownValue(settings, axis.factor);
    if (axis.kind === "level") {
      point[j] = value === axis.level ? 1 : 0;
      return;
    }
    if (!hasPlace(axis, value) || typeof value !== "number") {
      throw new BeadbenchError(
        "bad-argument",
        `setting ${axis.factor} must be a ${axis.kind === "log" ? "number above 0" : "number"}, got ${JSON.stringify(value)}`,
      );
    }
    point[j] = axis.kind === "log" ? Math.log(value) - axis.centre : (value - axis.centre) / axis.scale;
  });
  return point;
}

/** Standard deviation, on its axis, of what the rig holds about a setting at this place. */
export function settingSdAt(axis: Coordinate, at: number): number {
  return axis.kind === "log" ? axis.settingSd / Math.exp(axis.centre + at) : axis.settingSd / axis.scale;
}

/** ln of the setting in the physics' own unit at the middle of a "log" axis. */
export function physicalCentre(axis: Coordinate, unit: string): number {
  return Math.log(convert(Math.exp(axis.centre), unit, physicalUnits[axis.quantity!]));
}
