import type { NumberBounds } from "../../errors/index.js";
import { type Assumption, assumptionBook, type ToldNumbers } from "../assumptions/index.js";

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
  gauge_sd: [0.1, "mm", "scatter of one stand-off reading"],
  stop_time: [20, "min", "lost at a stop the build can go on after"],
  source_efficiency: [0.8, "1", "share of the mains power that reaches the arc"],
  standing_power: [300, "W", "drawn by controls, motion, pump and extraction while the rig is on"],
  water_flow: [0, "L/min", "of the water that cools base or torch; 0 for none"],
  water_inlet: [20, "degC", "at which the water comes"],
  water_limit: [45, "degC", "at the outlet, at which to stop and check"],
  mains_price: [0, "1", "per kWh"],
  gas_price: [0, "1", "per m3"],
  wire_price: [0, "1", "per kg"],
  labour_price: [0, "1", "per hour someone stays with the build"],
  tungsten_price: [0, "1", "per grind or new tungsten"],
} as const satisfies Readonly<Record<string, readonly [value: number, unit: string, note: string]>>;

export type AssumptionName = keyof typeof usualAssumptions;

export const assumptionNames = Object.keys(usualAssumptions) as readonly AssumptionName[];

/** All assumptions by name. */
export type Assumptions = Readonly<Record<AssumptionName, Assumption>>;

/** Bounds of an assumption; no other may be below 0. */
const bounds: Readonly<Partial<Record<AssumptionName, NumberBounds>>> = {
  source_efficiency: { above: 0, max: 1 },
  gauge_sd: { above: 0, max: 5 },
};

/**
 * What a forecast assumes: what was given, else what the study or the preset tells, else common practice (no source).
 *
 * @param told - by origin, most binding first
 * @throws {BeadbenchError} `bad-argument` for an unknown name, a unit of another kind or a number out of bounds
 */
export function assume(told: ToldNumbers): Assumptions {
  const book = assumptionBook(told);
  for (const name of assumptionNames) {
    const [value, unit, note] = usualAssumptions[name];
    book.take({ name, value, unit, origin: "common practice", note, bounds: bounds[name] ?? { min: 0 } });
  }
  book.close();
  return Object.fromEntries(book.taken.map((one) => [one.name, one])) as Record<AssumptionName, Assumption>;
}
