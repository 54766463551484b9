import { BeadbenchError, ownValue } from "../../errors/index.js";
import { suggestion } from "../../study/index.js";
import { convert, type Quantity, sameDimension } from "../../units/index.js";

/** Where the number of an assumption comes from. */
export type Origin = "given" | "study" | "preset" | "common practice";

/** A number a forecast rests on, which the user may replace. */
export interface Assumption {
  readonly name: AssumptionName;
  readonly value: number;
  readonly unit: string;
  readonly origin: Origin;
  readonly note: string;
}

/** Usual values of all a forecast assumes: number, unit and what it is. Common practice, no source. */
export const usualAssumptions = {
  dwell: [0, "s", "wait between layers"],
  start_time: [10, "s", "per arc start besides the arc: moving, pre-flow, pool dwell"],
  pre_flow: [2, "s", "gas before each start"],
  post_flow: [10, "s", "gas after each stop"],
  dwell_flow: [0, "L/min", "gas that goes on between layers; post-flow comes on top"],
  purge_gas: [0, "L", "to fill the enclosure once"],
  cylinder_gas: [9800, "L", "usable in a full cylinder: 50 L at 200 bar, less what must stay in it"],
  cylinder_left: [9800, "L", "usable in the cylinder in place"],
  cylinder_volume: [50, "L", "water volume of a cylinder, to tell its gas from a pressure"],
  cylinder_rest: [7, "bar", "pressure to leave in a cylinder"],
  cylinder_change: [15, "min", "to change a cylinder and purge the hose"],
  spool_mass: [15, "kg", "wire on a full spool"],
  spool_left: [15, "kg", "wire on the spool in place"],
  spool_change: [15, "min", "to change a spool and thread the wire"],
  tungsten_life: [4, "h", "of arc between grinds; 0 for a process without"],
  tungsten_change: [10, "min", "to change the tungsten"],
  tip_life: [0, "m", "of wire per contact tip; 0 for a process without"],
  tip_change: [5, "min", "to change the contact tip"],
  relevel_every: [0, "1", "layers between measuring and setting the stand-off anew; 0 for never"],
  relevel_time: [5, "min", "to do so"],
  stop_time: [20, "min", "lost at a stop the build can go on after"],
  source_efficiency: [0.8, "1", "share of the mains power that reaches the arc"],
  standing_power: [300, "W", "drawn by controls, motion, pump and extraction while the rig is on"],
  mains_price: [0, "1", "per kWh"],
  gas_price: [0, "1", "per m3"],
  wire_price: [0, "1", "per kg"],
  labour_price: [0, "1", "per hour someone stays with the build"],
  tungsten_price: [0, "1", "per grind or new tungsten"],
} as const satisfies Readonly<Record<string, readonly [number, string, string]>>;

export type AssumptionName = keyof typeof usualAssumptions;

export const assumptionNames = Object.keys(usualAssumptions) as readonly AssumptionName[];

/** All assumptions by name. */
export type Assumptions = Readonly<Record<AssumptionName, Assumption>>;

/**
 * What a forecast assumes: what was given, else what the study or the preset tells, else common practice (no source).
 *
 * @param told - by origin, most binding first
 * @throws {BeadbenchError} `bad-argument` for an unknown name, a unit of another kind or a negative number
 */
export function assume(
  told: readonly (readonly [Origin, Readonly<Record<string, Quantity>>])[],
): Assumptions {
  for (const [, quantities] of told) for (const name of Object.keys(quantities)) requireName(name);
  return Object.fromEntries(
    assumptionNames.map((name) => {
      const [usual, unit, note] = usualAssumptions[name];
      for (const [origin, quantities] of told) {
        const quantity = ownValue(quantities, name);
        if (quantity !== undefined)
          return [name, { name, value: read(name, quantity, unit), unit, origin, note }];
      }
      return [name, { name, value: usual, unit, origin: "common practice", note }];
    }),
  ) as Record<AssumptionName, Assumption>;
}

/** The unit in which an assumption is kept. */
export function assumptionUnit(name: string): string {
  return usualAssumptions[requireName(name)][1];
}

function requireName(name: string): AssumptionName {
  if (Object.hasOwn(usualAssumptions, name)) return name as AssumptionName;
  throw new BeadbenchError(
    "bad-argument",
    `"${name}" is no assumption of the forecast${suggestion(name, assumptionNames)}; they are ${assumptionNames.join(", ")}`,
  );
}

function read(name: AssumptionName, { value, unit }: Quantity, wanted: string): number {
  if (!sameDimension(unit, wanted))
    throw new BeadbenchError("bad-argument", `${name} needs a unit like ${wanted}, got ${unit}`);
  const found = convert(value, unit, wanted);
  if (!(found >= 0))
    throw new BeadbenchError("bad-argument", `${name} cannot be below 0, got ${value} ${unit}`);
  if (name === "source_efficiency" && !(found > 0 && found <= 1))
    throw new BeadbenchError("bad-argument", `source_efficiency is a share above 0, at most 1, got ${value}`);
  return found;
}
