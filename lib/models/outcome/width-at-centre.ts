import { effectiveThermal, thickPlatePool } from "../../process/index.js";
import type { Priors } from "../priors/index.js";
import { isLight, type PhysicalLogs } from "./physical-logs.js";

/**
 * Width of a bead in the middle of the factor ranges, ln mm: what a point source moving over a thick plate
 * melts, and the metal laid down on top. Right to about 40 %.
 *
 * @source Rosenthal 1946, see thickPlatePool of lib/process
 */
export function widthAtCentre(logs: PhysicalLogs, priors: Priors): number {
  const { physics } = logs;
  const light = isLight(physics);
  const { conductivity, volumetricHeat } = effectiveThermal[light ? "aluminium" : "carbonSteel"];
  const source = {
    netPower: physics.efficiency.value * Math.exp(logs.current.constant + logs.voltage.constant),
    travelSpeed: Math.exp(logs.travel.constant),
    conductivity: conductivity.value,
    volumetricHeat: volumetricHeat.value,
    startTemperature: priors.start_temperature,
  };
  const { width } = thickPlatePool(source, light ? priors.light_pool_edge : priors.pool_edge);
  return 0.5 * Math.log(width ** 2 + Math.exp(logs.area.constant));
}
