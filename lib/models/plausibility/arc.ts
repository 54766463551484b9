import { type Finding, refusalOf } from "../../errors/index.js";
import { significant } from "../../numeric/index.js";
import {
  arcEnergy,
  arcOf,
  beadArea,
  conventionalVoltage,
  processFacts,
  processOf,
  requireSetting,
} from "../../process/index.js";
import type { Coupon, StudyDefinition } from "../../study/index.js";
import { physicalSettingOfCoupon } from "../physical/index.js";

/** Findings on arc voltages, efficiency and settings that no rig could have run. */
export function arcFindings(definition: StudyDefinition, coupons: readonly Coupon[]): readonly Finding[] {
  return [
    ...efficiencyFindings(definition),
    ...absurdFindings(definition, coupons),
    ...voltageFindings(definition, coupons),
  ];
}

function efficiencyFindings(definition: StudyDefinition): readonly Finding[] {
  const efficiency = definition.rig?.efficiency;
  const { efficiencyBounds, heat } = processFacts(processOf(definition.process));
  if (efficiency === undefined || (efficiency >= efficiencyBounds[0] && efficiency <= efficiencyBounds[1]))
    return [];
  return [
    {
      code: "efficiency-range",
      severity: "warning",
      message: `rig.efficiency ${efficiency} is outside ${efficiencyBounds[0]} to ${efficiencyBounds[1]}, what calorimeters find`,
      advice:
        heat.source === "beam"
          ? "absorptivity of a laser is 0.15 to 0.8 on most melts (from memory)"
          : "TIG 0.67 to 0.78, MIG/MAG 0.84, plasma 0.47 (DuPont and Marder 1995; Stenbacka et al. 2012); leave it out to use these",
    },
  ];
}

function voltageFindings(definition: StudyDefinition, coupons: readonly Coupon[]): readonly Finding[] {
  const process = processOf(definition.process);
  const range = arcOf(process)?.usualVoltage;
  if (range === undefined) return [];
  const odd = coupons.flatMap((coupon) => {
    const { arc_voltage: volts, current } = physicalSettingOfCoupon(definition, coupon);
    return volts === undefined || (volts >= range[0] && volts <= range[1])
      ? []
      : [{ id: coupon.id, volts, current }];
  });
  if (odd.length === 0) return [];
  const first = odd[0]!;
  const rated = first.current === undefined ? undefined : conventionalVoltage(process, first.current);
  return [
    {
      code: "arc-voltage-range",
      severity: "warning",
      message: `${odd.length} coupon${odd.length === 1 ? " has" : "s have"} an arc voltage outside ${range[0]} to ${range[1]} V, such as ${first.id} with ${significant(first.volts)} V${
        rated === undefined
          ? ""
          : ` (power sources are rated at ${significant(rated)} V for this current, IEC 60974-1)`
      }`,
      advice:
        "below: a short-circuiting or unstable arc, or volts read at the wrong place; above: a long arc or the drop in the leads; read the voltage at the torch",
      about: odd.map(({ id }) => id),
    },
  ];
}

function absurdFindings(definition: StudyDefinition, coupons: readonly Coupon[]): readonly Finding[] {
  const faults = new Map<string, string[]>();
  for (const coupon of coupons) {
    const message = absurdity(definition, coupon);
    if (message !== undefined) faults.set(message, [...(faults.get(message) ?? []), coupon.id]);
  }
  return [...faults].map(([message, about]) => ({
    code: "absurd-setting",
    severity: "error",
    message: `${about.length} coupon${about.length === 1 ? "" : "s"} (${about.slice(0, 5).join(", ")}): ${message}`,
    about,
  }));
}

/** The sentence in which the physics refuses a coupon's settings, if it does. */
export function absurdity(definition: StudyDefinition, coupon: Coupon): string | undefined {
  const s = physicalSettingOfCoupon(definition, coupon);
  return refusalOf(() => {
    if (s.power !== undefined) requireSetting("power", s.power);
    if (s.arc_voltage !== undefined && s.current !== undefined && s.travel_speed !== undefined)
      arcEnergy(s.arc_voltage, s.current, s.travel_speed);
    if (s.wire_diameter !== undefined && s.wire_feed_speed !== undefined && s.travel_speed !== undefined)
      beadArea({ wireDiameter: s.wire_diameter, wireFeedSpeed: s.wire_feed_speed }, s.travel_speed);
  })?.message;
}
