import { card } from "./material-data.js";
import type { MaterialCard } from "./material-types.js";

/** Carbon steel and austenitic stainless wires. */
export const steelCards: readonly MaterialCard[] = [
  card(
    { id: "ER70S-6", iso: "G3Si1", standards: ["AWS A5.18", "ISO 14341"], family: "carbon steel" },
    {
      density: [7.85, "verified", "EN 1993-1-2"],
      solidus: [1495, "verified", "S355 property table"],
      liquidus: [1540, "verified", "S355 property table"],
      meltTemperature: [1500, "derived", "working value between solidus and liquidus"],
      specificHeat: [440, "verified", "EN 1993-1-2 c(T)"],
      meanSpecificHeat: [680, "verified", "EN 1993-1-2 c(T), mean from room to melt"],
      latentHeat: [270, "verified", "S355 property table gives 277", [270, 277]],
      conductivity: [0.053, "from memory", "EN 1993-1-2 k(T)"],
      hotConductivity: [0.027, "from memory", "EN 1993-1-2 k(T)"],
    },
  ),
  card(
    { id: "ER308L", iso: "19 9 L", standards: ["AWS A5.9", "ISO 14343"], family: "austenitic stainless" },
    {
      density: [7.95, "from memory", "handbook value", [7.9, 8.0]],
      solidus: [1400, "from memory", "handbook value"],
      liquidus: [1450, "from memory", "handbook value"],
      meltTemperature: [1450, "from memory", "liquidus"],
      specificHeat: [500, "from memory", "handbook value"],
      meanSpecificHeat: [600, "from memory", "handbook value"],
      latentHeat: [260, "from memory", "handbook value"],
      conductivity: [0.015, "from memory", "handbook value"],
      hotConductivity: [0.028, "from memory", "handbook value"],
    },
  ),
  card(
    { id: "ER316L", iso: "19 12 3 L", standards: ["AWS A5.9", "ISO 14343"], family: "austenitic stainless" },
    {
      density: [7.95, "verified", "maker's data sheet", [7.95, 8.03]],
      solidus: [1390, "verified", "maker's data sheet"],
      liquidus: [1440, "verified", "maker's data sheet"],
      meltTemperature: [1440, "verified", "maker's data sheet, liquidus"],
      specificHeat: [485, "verified", "maker's data sheet", [450, 485]],
      meanSpecificHeat: [600, "verified", "maker's data sheet"],
      latentHeat: [260, "from memory", "handbook value"],
      conductivity: [0.0146, "verified", "maker's data sheet"],
      hotConductivity: [0.028, "verified", "maker's data sheet"],
    },
  ),
];
