import { type Finding, grouped } from "../../errors/index.js";
import { significant } from "../../numeric/figures/index.js";
import { counted } from "../../numeric/index.js";
import { conventionalVoltage } from "../../process/arc/index.js";
import { arcOf, processFacts, processOf } from "../../process/handbook/index.js";
import type { StudyData, StudyDefinition } from "../../study/index.js";
import { listed } from "../balance/index.js";
import { physicalSettingOfCoupon, refusalOfCoupon } from "../settings/index.js";
import { WIRE_DIAMETER } from "./quantities.js";

/** Columns whose numbers are explained by a slip of unit, with the coupons concerned. */
export type Explained = ReadonlyMap<string, ReadonlySet<string>>;

/**
 * Findings on arc voltages unusual for the process, an efficiency out of its bounds, and settings that no rig could have
 * run.
 *
 * @param explained - columns with coupons whose oddness a slip of unit explains; they are not told again
 */
export function arcFindings(
  { definition, coupons }: StudyData,
  explained: Explained = new Map(),
): readonly Finding[] {
  return [
    ...efficiencyFindings(definition),
    ...absurdFindings({ definition, coupons }, explained),
    ...voltageFindings({ definition, coupons }),
  ];
}

function efficiencyFindings(definition: StudyDefinition): readonly Finding[] {
  const efficiency = definition.rig?.efficiency;
  const { efficiencyBounds, efficiencyAdvice } = processFacts(processOf(definition.process));
  if (efficiency === undefined || (efficiency >= efficiencyBounds[0] && efficiency <= efficiencyBounds[1]))
    return [];
  return [
    {
      code: "efficiency-range",
      severity: "warning",
      message: `rig.efficiency ${efficiency} is outside ${efficiencyBounds[0]} to ${efficiencyBounds[1]}, what calorimeters find`,
      advice: efficiencyAdvice,
    },
  ];
}

function voltageFindings({ definition, coupons }: StudyData): readonly Finding[] {
  const process = processOf(definition.process);
  const range = arcOf(process)?.usualVoltage;
  if (range === undefined) return [];
  const odd = coupons.flatMap((coupon) => {
    const { arc_voltage: volts, current } = physicalSettingOfCoupon({ definition }, coupon);
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
      message: `${counted(odd.length, "coupon has", "coupons have")} an arc voltage outside ${range[0]} to ${range[1]} V, such as ${first.id} with ${significant(first.volts)} V${
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

/** One finding for each setting that no rig runs, however many values it has. */
function absurdFindings({ definition, coupons }: StudyData, explained: Explained): readonly Finding[] {
  const faults = coupons.flatMap((coupon) => {
    const refusal = refusalOfCoupon({ definition }, coupon);
    if (refusal === undefined) return [];
    const setting = String(refusal.details.setting);
    const column = setting === "wire_diameter" ? WIRE_DIAMETER : setting;
    if (explained.get(column)?.has(coupon.id) === true) return [];
    return [{ id: coupon.id, setting, message: refusal.message }];
  });
  return [...grouped(faults, ({ setting }) => setting).values()].map((found) => {
    const about = found.map(({ id }) => id);
    const messages = new Set(found.map(({ message }) => message));
    const others = messages.size > 1 ? `, and ${messages.size - 1} other values like it` : "";
    return {
      code: "absurd-setting",
      severity: "error",
      message: `${counted(about.length, "coupon")} (${listed(about)}): ${found[0]!.message}${others}`,
      about,
    };
  });
}
