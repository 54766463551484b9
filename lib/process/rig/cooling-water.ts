import { type Finding, requireNumber } from "../../errors/index.js";
import { fixed } from "../../numeric/figures/index.js";
import { type SourcedValue, sourced } from "../handbook/index.js";

/** W carried by 1 L/min of water per K: 4.186 kJ/(kg K) and 0.998 kg/L. */
const WATTS_PER_LITRE_MINUTE_KELVIN = 69.63;

/**
 * Heat carried off by cooling water.
 *
 *     P = 69.63 Q dT
 *
 * @param flow - Q, L/min
 * @param rise - dT, outlet less inlet, K
 * @returns W
 * @throws {BeadbenchError} `bad-argument` for a number outside its bounds, naming them
 * @source specific heat and density of water at 20 degC
 * @example waterHeat(2, 5) // => 696.3
 */
export function waterHeat(flow: number, rise: number): number {
  requireNumber("water flow", flow, { min: 0, unit: "L/min" });
  requireNumber("water temperature rise", rise, { unit: "K" });
  return WATTS_PER_LITRE_MINUTE_KELVIN * flow * rise;
}

/**
 * Rise of the water when all heat goes into it, K.
 *
 * @param power - W
 * @param flow - L/min
 * @throws {BeadbenchError} `bad-argument` for a number outside its bounds, naming them
 * @example waterRise(1460, 3) // => 6.98932
 */
export function waterRise(power: number, flow: number): number {
  requireNumber("heat into the water", power, { min: 0, unit: "W" });
  return (
    power / (WATTS_PER_LITRE_MINUTE_KELVIN * requireNumber("water flow", flow, { above: 0, unit: "L/min" }))
  );
}

/** Outlet temperature at which to stop and check, degC. */
export const waterOutletLimit: SourcedValue = sourced(45, "degC", "from memory", "common practice", [45, 50]);

/**
 * Whether the water leaves too hot. A hardwired flow and temperature trip is needed all the same.
 *
 * @throws {BeadbenchError} `bad-argument` for a number outside its bounds, naming them
 * @example checkWater(40) // => []
 */
export function checkWater(outlet: number, limit: number = waterOutletLimit.value): readonly Finding[] {
  requireNumber("outlet temperature", outlet, { min: -20, max: 120, unit: "degC" });
  if (outlet <= limit) return [];
  return [
    {
      code: "water-too-hot",
      severity: "error",
      message: `cooling water leaves at ${fixed(outlet, 0)} degC, limit ${fixed(limit, 0)} degC`,
      advice: "stop and check flow, filter and chiller; never open a hot cooling circuit",
    },
  ];
}
