import type { Priors } from "../priors/index.js";
import { type Affine, combine } from "./affine.js";
import type { Coordinate } from "./coordinates.js";
import type { PhysicalLogs } from "./physical-logs.js";

/** One number for each setting the physics gives exponents for. */
export interface Exponents {
  readonly current: number;
  readonly voltage: number;
  readonly travel: number;
  readonly feed: number;
  readonly standoff: number;
}

/** Exponents expected of a quantity before any coupon. */
export const exponentsOf = (priors: Priors, of: "width" | "fed_width" | "penetration"): Exponents => ({
  current: priors[`${of}_per_current`],
  voltage: priors[`${of}_per_voltage`],
  travel: priors[`${of}_per_travel`],
  feed: priors[`${of}_per_feed`],
  standoff: priors[`${of}_per_standoff`],
});

/** How far from these a rig may lie, as standard deviations. */
export const exponentSdsOf = (priors: Priors, of: "width" | "fullness" | "penetration"): Exponents => ({
  current: priors[`${of}_per_current_sd`],
  voltage: priors[`${of}_per_voltage_sd`],
  travel: priors[`${of}_per_travel_sd`],
  feed: priors[`${of}_per_feed_sd`],
  standoff: priors[`${of}_per_standoff_sd`],
});

/** A power law of the settings, with a value (ln) in the middle of their ranges. */
export function powerLaw(logs: PhysicalLogs, law: Exponents, atCentre: number): Affine {
  const { slopes } = combine([
    [law.current, logs.current],
    [law.voltage, logs.voltage],
    [law.travel, logs.travel],
    [law.feed, logs.feed],
    ...(logs.standoff === undefined ? [] : [[law.standoff, logs.standoff] as const]),
  ]);
  return { constant: atCentre, slopes };
}

/** Standard deviations of slopes along the axes; an axis the physics has no exponent for gets `other`. */
export function slopeSds(coordinates: readonly Coordinate[], sds: Exponents, other: number): number[] {
  const byQuantity: Readonly<Record<string, number>> = {
    current: sds.current,
    power: sds.current,
    arc_voltage: sds.voltage,
    travel_speed: sds.travel,
    wire_feed_speed: sds.feed,
    wire_diameter: 2 * sds.feed,
    standoff: sds.standoff,
    contact_tip_distance: sds.standoff,
    stickout: sds.standoff,
  };
  return coordinates.map((axis) =>
    axis.quantity === undefined ? other : (byQuantity[axis.quantity] ?? other),
  );
}
