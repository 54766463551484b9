import { effectiveThermal, thickPlatePool } from "../../process/index.js";
import { type Affine, combine } from "./affine.js";
import type { Coordinate } from "./coordinates.js";
import { isLight, type PhysicalLogs } from "./physical-logs.js";

/** One number for each setting the physics gives exponents for. */
export interface Exponents {
  readonly current: number;
  readonly voltage: number;
  readonly travel: number;
  readonly feed: number;
  readonly standoff: number;
}

/**
 * Exponents of width and of penetration expected before any coupon.
 *
 * @source moving point and line sources (Rosenthal 1946) bound the exponents of current and travel speed;
 *   the values in between, and those of voltage, feed and stand-off, are common practice, no source
 */
export const exponents = {
  width: { current: 0.65, voltage: 0.5, travel: -0.45, feed: 0.1, standoff: 0.1 },
  /** A consumable electrode whose feed sets the current. */
  widthByFeed: { current: 0, voltage: 0.6, travel: -0.45, feed: 0.45, standoff: 0 },
  penetration: { current: 1.1, voltage: -0.3, travel: -0.4, feed: -0.2, standoff: -0.1 },
} as const satisfies Readonly<Record<string, Exponents>>;

/** How far from these a rig may lie, as standard deviations. */
export const exponentSds = {
  width: { current: 0.25, voltage: 0.4, travel: 0.2, feed: 0.2, standoff: 0.25 },
  fullness: { current: 0.12, voltage: 0.15, travel: 0.12, feed: 0.12, standoff: 0.12 },
  penetration: { current: 0.4, voltage: 0.6, travel: 0.3, feed: 0.3, standoff: 0.4 },
} as const satisfies Readonly<Record<string, Exponents>>;

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

/** Temperature at which a pool ends, degC: steel and nickel, and aluminium. */
const MELT = { heavy: 1420, light: 630 } as const;
const ROOM = 20;

/**
 * Width of a bead in the middle of the factor ranges, ln mm: what a point source moving over a thick plate
 * melts, and the metal laid down on top. Right to about 40 %.
 *
 * @source Rosenthal 1946, see thickPlatePool of lib/process
 */
export function widthAtCentre(logs: PhysicalLogs): number {
  const { physics } = logs;
  const light = isLight(physics);
  const { conductivity, volumetricHeat } = effectiveThermal[light ? "aluminium" : "carbonSteel"];
  const source = {
    netPower: physics.efficiency.value * Math.exp(logs.current.constant + logs.voltage.constant),
    travelSpeed: Math.exp(logs.travel.constant),
    conductivity: conductivity.value,
    volumetricHeat: volumetricHeat.value,
    startTemperature: ROOM,
  };
  const { width } = thickPlatePool(source, light ? MELT.light : MELT.heavy);
  return 0.5 * Math.log(width ** 2 + Math.exp(logs.area.constant));
}
