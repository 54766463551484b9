import type { Coupon, DefinedStudy } from "../../study/record/index.js";
import { convert, type Quantity } from "../../units/index.js";
import type { MeasuredStretch } from "../measure/index.js";
import { type TracedSetting, tracedSettings } from "./set-against-ran.js";

/** What the trace does not know of a coupon's bead. */
export interface BeadRun {
  /** mm/s along the bead. */
  readonly travelSpeed?: number;
  /** mm of bead, from which the speed follows where it is not given. */
  readonly length?: number;
}

/** What a trace adds to a coupon: measured context, by column. */
export function tracedContext(stretch: MeasuredStretch, run: BeadRun): Readonly<Record<string, Quantity>> {
  const { arcTime, current, voltage, power, energy, events, side } = stretch;
  const perLength = energyPerLength(stretch, run);
  return {
    traced_current: { value: current.mean, unit: "A" },
    traced_voltage: { value: voltage.mean, unit: "V" },
    traced_power: { value: power, unit: "W" },
    traced_energy: { value: energy, unit: "J" },
    ...(perLength === undefined ? {} : { traced_arc_energy: { value: perLength, unit: "J/mm" } }),
    traced_arc_time: { value: arcTime, unit: "s" },
    ...(side.feed === undefined ? {} : { traced_feed: { value: side.feed, unit: "mm/s" } }),
    ...(side.gas === undefined ? {} : { traced_gas_flow: { value: side.gas, unit: "L/min" } }),
    ...(side.oxygen === undefined ? {} : { traced_oxygen: { value: side.oxygen, unit: "ppm" } }),
    ...(side.temperature === undefined
      ? {}
      : { traced_temperature: { value: side.temperature, unit: "degC" } }),
    traced_ignitions: { value: events.ignition.count, unit: "1" },
    traced_misfires: { value: events.misfire.count, unit: "1" },
    traced_shorts: { value: events.short.count, unit: "1" },
    traced_touches: { value: events.touch.count, unit: "1" },
    traced_sticking: { value: events.stuck.count + events.stopped.count, unit: "1" },
    traced_drop_outs: { value: events.lost.count, unit: "1" },
  };
}

/**
 * Energy of the arc per length of bead, J/mm: mean power over travel speed, or energy over length.
 *
 * @returns undefined where neither speed nor length is known, or no current flowed
 * @source ISO/TR 18491: E = IP/v = IE/L
 */
export function energyPerLength(
  { power, energy, arcTime }: MeasuredStretch,
  { travelSpeed, length }: BeadRun,
): number | undefined {
  if (arcTime === 0) return undefined;
  if (length !== undefined) return energy / length;
  return travelSpeed === undefined || travelSpeed === 0 ? undefined : power / travelSpeed;
}

/** The travel speed that a coupon was set to, mm/s; undefined where the study has none. */
export function setTravelSpeed({ definition }: DefinedStudy, coupon: Coupon): number | undefined {
  const factor = definition.factors.find(({ name }) => name === "travel_speed");
  const set = coupon.settings.travel_speed;
  return factor === undefined || typeof set !== "number" ? undefined : convert(set, factor.unit, "mm/s");
}

/** What ran, of the settings that a trace tells. */
export function ranSettings(stretch: MeasuredStretch): Readonly<Partial<Record<TracedSetting, Quantity>>> {
  const { arcTime, current, voltage, side } = stretch;
  if (arcTime === 0) return {};
  return {
    current: { value: current.mean, unit: tracedSettings.current.unit },
    arc_voltage: { value: voltage.mean, unit: tracedSettings.arc_voltage.unit },
    ...(side.feed === undefined
      ? {}
      : { wire_feed_speed: { value: side.feed, unit: tracedSettings.wire_feed_speed.unit } }),
  };
}
