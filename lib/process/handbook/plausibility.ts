import type { Finding } from "../../errors/index.js";
import { rounds } from "../../numeric/index.js";
import { withUnit } from "../../units/index.js";
import { type BoundedSetting, requireSetting, settingUnit } from "./bounds.js";
import { arcOf, type ProcessFamily } from "./processes.js";

/** Logged settings to look over, in the library's own units. */
export type LoggedSetting = Readonly<Partial<Record<BoundedSetting, number>>>;

const usual: Readonly<Partial<Record<BoundedSetting, readonly [number, number, string]>>> = {
  travel_speed: [0.3, 40, "a value in mm/min or in/min taken for mm/s?"],
  wire_feed_speed: [1, 350, "a value in m/min or mm/min taken for mm/s?"],
  gas_flow: [2, 30, "a value in ft3/h taken for L/min?"],
  wire_diameter: [0.6, 3.2, "inches taken for mm?"],
};

/**
 * Settings that a rig can run but seldom does: mostly slips of unit.
 *
 * @returns one finding per odd value
 * @throws {BeadbenchError} when a value is beyond what any rig does
 * @source common practice, no source
 */
export function checkSetting(setting: LoggedSetting, process: ProcessFamily): readonly Finding[] {
  const odd = (
    name: BoundedSetting,
    range: readonly [number, number],
    unit: string,
    ask: string,
  ): Finding[] => {
    const value = setting[name];
    if (value === undefined) return [];
    requireSetting(name, value);
    if (value >= range[0] && value <= range[1]) return [];
    return [
      {
        code: "setting-unusual",
        severity: "warning",
        message: `${name} ${withUnit(String(rounds(value)), unit)} is outside the usual ${withUnit(`${range[0]} to ${range[1]}`, unit)}`,
        advice: ask,
        about: [name],
      },
    ];
  };
  const voltage = arcOf(process)?.usualVoltage;
  return [
    ...(voltage === undefined
      ? []
      : odd(
          "arc_voltage",
          voltage,
          "V",
          "read it at the torch while the arc burns, not open circuit or at the source",
        )),
    ...(Object.entries(usual) as [BoundedSetting, readonly [number, number, string]][]).flatMap(
      ([name, [lower, upper, ask]]) => odd(name, [lower, upper], settingUnit(name), ask),
    ),
  ];
}
