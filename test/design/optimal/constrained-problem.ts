import type { DesignFactor, DesignLimit, Settings } from "../../../lib/design/index.js";

/** Four factors of an arc deposition rig, no stated steps. */
export const rigFactors: readonly DesignFactor[] = [
  { name: "current", unit: "A", low: 80, high: 160 },
  { name: "arc_voltage", unit: "V", low: 10, high: 18 },
  { name: "travel_speed", unit: "mm/s", low: 2, high: 6 },
  { name: "wire_feed_speed", unit: "m/min", low: 0.8, high: 3 },
];

const power = (settings: Settings): number => Number(settings.current) * Number(settings.arc_voltage);

/** Power to melt 1 mm wire of steel at 1.2 MJ/kg (7850 kg/m3, 0.785 mm2), per m/min of feed: W. */
const MELTING_POWER = (0.785e-6 * 7850 * 1.2e6) / 60;

/** Two limits that are not linear in the factors: arc energy per length, and share of arc power in the wire. */
export const rigLimits: readonly DesignLimit[] = [
  {
    name: "arc_energy",
    unit: "kJ/mm",
    max: 0.6,
    value: (settings) => power(settings) / Number(settings.travel_speed) / 1000,
  },
  {
    name: "wire_share",
    unit: "1",
    max: 0.25,
    value: (settings) => (MELTING_POWER * Number(settings.wire_feed_speed)) / power(settings),
  },
];

/** Settings on the scale -1 to 1. */
export function codedSettings(factors: readonly DesignFactor[], settings: Settings): number[] {
  return factors.map(({ name, low, high }) => (2 * (Number(settings[name]) - low!)) / (high! - low!) - 1);
}
