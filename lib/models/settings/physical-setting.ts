import { convert, sameDimension } from "../../units/index.js";

/** Quantities the physics understands, with the unit each is used in. */
export const physicalUnits = {
  current: "A",
  arc_voltage: "V",
  power: "W",
  travel_speed: "mm/s",
  wire_feed_speed: "mm/s",
  wire_diameter: "mm",
  standoff: "mm",
  stickout: "mm",
  contact_tip_distance: "mm",
  gas_flow: "L/min",
  plasma_gas_flow: "L/min",
  interpass_temperature: "degC",
  dwell: "s",
  layer_height: "mm",
} as const;

/** Name of a quantity the physics understands. */
export type PhysicalQuantity = keyof typeof physicalUnits;

/** What is known of one setting, in the units of {@link physicalUnits}; what is unknown is absent. */
export type PhysicalSetting = { readonly [name in PhysicalQuantity]?: number };

/** A named number with its unit, as a study states them. */
export interface NamedQuantity {
  readonly name: string;
  readonly value: number;
  readonly unit: string;
}

/** Whether a name is one the physics understands. */
export function isPhysicalQuantity(name: string): name is PhysicalQuantity {
  return Object.hasOwn(physicalUnits, name);
}

/**
 * Gathers the quantities the physics understands, later ones winning over earlier ones; names it does not
 * know and values in a unit of another kind are left out.
 *
 * @param quantities - for example the rig's constants, then the coupon's settings, then what was measured
 */
export function physicalSetting(quantities: Iterable<NamedQuantity>): PhysicalSetting {
  const result: { -readonly [name in PhysicalQuantity]?: number } = {};
  for (const { name, value, unit } of quantities) {
    if (isPhysicalQuantity(name) && sameDimension(unit, physicalUnits[name]) && Number.isFinite(value)) {
      result[name] = convert(value, unit, physicalUnits[name]);
    }
  }
  return result;
}
