import { ownValue } from "../../errors/index.js";
import type { Coupon, StudyDefinition } from "../../study/index.js";
import { type PhysicalQuantity, usualSetting } from "../settings/index.js";
import type { Affine } from "./affine.js";
import { type Coordinate, physicalCentre } from "./coordinates.js";

/** ln of a setting in the physics' unit as a function of the axes; undefined for one the study does not know. */
export type SettingLogs = (name: PhysicalQuantity) => Affine | undefined;

/** The settings of a study: its factors, its constants and what was logged beside them. */
export function settingLogs(
  definition: StudyDefinition,
  coordinates: readonly Coordinate[],
  coupons: readonly Coupon[],
): SettingLogs {
  const units = new Map(definition.factors.map((factor) => [factor.name, factor.unit]));
  const constants = usualSetting({ definition, coupons });
  return (name) => {
    const index = coordinates.findIndex((axis) => axis.quantity === name);
    if (index >= 0) {
      const slopes = coordinates.map((_, j) => (j === index ? 1 : 0));
      return { constant: physicalCentre(coordinates[index]!, units.get(name)!), slopes };
    }
    const value = ownValue(constants, name);
    return value === undefined ? undefined : constantLog(coordinates, value);
  };
}

/** ln of a quantity that is the same at every setting. */
export function constantLog(coordinates: readonly Coordinate[], value: number): Affine {
  return { constant: Math.log(value), slopes: coordinates.map(() => 0) };
}
