import { onlyDefined } from "../../errors/index.js";
import { netPower } from "../../process/arc/index.js";
import type { EquipmentLoad } from "../../process/rig/index.js";
import type { PhysicalSetting } from "../settings/index.js";
import type { RigPhysics } from "./derived.js";

/**
 * A setting as the makers' ratings feel it; undefined without a current, on which all of them rest.
 *
 * @param load.duty - share of ten minutes with the arc on
 */
export function equipmentLoad({
  setting,
  physics,
  duty,
}: {
  readonly setting: PhysicalSetting;
  readonly physics: RigPhysics;
  readonly duty: number;
}): EquipmentLoad | undefined {
  const { current, gas_flow: gasFlow, wire_feed_speed: wireFeedSpeed, arc_voltage: voltage } = setting;
  const { plasma_gas_flow: plasmaGas } = setting;
  if (current === undefined) return undefined;
  return {
    current,
    duty,
    process: physics.process,
    ...onlyDefined({ plasmaGas, gasFlow, wireFeedSpeed }),
    ...(voltage === undefined ? {} : { netPower: netPower(voltage, current, physics.efficiency.value) }),
  };
}
