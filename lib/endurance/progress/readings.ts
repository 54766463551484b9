import { convert, sameDimension } from "../../units/index.js";
import type { Attempt } from "../record/index.js";

/** A reading taken while a build runs. */
export interface BuildReading {
  /** Finished when it was taken. */
  readonly layer: number;
  readonly value: number;
}

/** Names of readings that a build is followed by, with their units. */
export const followedReadings = {
  standoff: "mm",
  /** What it was set to, where it was set anew. */
  standoff_set: "mm",
  height: "mm",
  cylinder_pressure: "bar",
  interpass_temperature: "degC",
} as const;

/** Readings of one name, in order, in the unit it is followed in. */
export function readingsOf(attempt: Attempt, name: keyof typeof followedReadings): readonly BuildReading[] {
  const unit = followedReadings[name];
  let layer = 0;
  return attempt.steps.flatMap((step) => {
    layer = step.layer ?? layer;
    const value =
      step.values !== undefined && Object.hasOwn(step.values, name) ? step.values[name]! : undefined;
    const stated = step.units !== undefined && Object.hasOwn(step.units, name) ? step.units[name]! : unit;
    return value === undefined || !sameDimension(stated, unit)
      ? []
      : [{ layer, value: convert(value, stated, unit) }];
  });
}

/** The last of them. */
export const lastReading = (
  attempt: Attempt,
  name: keyof typeof followedReadings,
): BuildReading | undefined => readingsOf(attempt, name).at(-1);
