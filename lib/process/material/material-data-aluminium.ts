import { card } from "./material-data.js";
import type { MaterialCard } from "./material-types.js";

/** Aluminium wires. */
export const aluminiumCards: readonly MaterialCard[] = [
  card(
    { id: "ER4043", iso: "Al 4043", standards: ["AWS A5.10", "ISO 18273"], family: "aluminium" },
    {
      density: [2.69, "verified", "maker's data sheet, 0.097 lb/in3"],
      solidus: [574, "verified", "maker's data sheet, 1065-1170 degF"],
      liquidus: [632, "verified", "maker's data sheet, 1065-1170 degF"],
      meltTemperature: [632, "verified", "maker's data sheet, 1065-1170 degF, liquidus"],
      specificHeat: [890, "from memory", "handbook value"],
      meanSpecificHeat: [1080, "from memory", "handbook value"],
      latentHeat: [390, "from memory", "handbook value"],
      conductivity: [0.16, "from memory", "handbook value"],
      hotConductivity: [0.16, "from memory", "value at 20 degC kept, no hot value at hand"],
    },
  ),
  card(
    { id: "ER4047", iso: "Al 4047", standards: ["AWS A5.10", "ISO 18273"], family: "aluminium" },
    {
      density: [2.66, "from memory", "handbook value"],
      solidus: [577, "verified", "maker's data sheet"],
      liquidus: [582, "verified", "maker's data sheet"],
      meltTemperature: [582, "verified", "maker's data sheet, liquidus"],
      specificHeat: [880, "from memory", "handbook value"],
      meanSpecificHeat: [1080, "from memory", "handbook value"],
      latentHeat: [460, "from memory", "handbook value"],
      conductivity: [0.15, "from memory", "handbook value"],
      hotConductivity: [0.15, "from memory", "value at 20 degC kept, no hot value at hand"],
    },
  ),
  card(
    { id: "ER5356", iso: "Al 5356", standards: ["AWS A5.10", "ISO 18273"], family: "aluminium" },
    {
      density: [2.64, "from memory", "handbook value", [2.64, 2.66]],
      solidus: [571, "verified", "maker's data sheet, 1060-1175 degF"],
      liquidus: [635, "verified", "maker's data sheet, 1060-1175 degF"],
      meltTemperature: [635, "verified", "maker's data sheet, 1060-1175 degF, liquidus"],
      specificHeat: [900, "from memory", "handbook value"],
      meanSpecificHeat: [1080, "from memory", "handbook value"],
      latentHeat: [390, "from memory", "handbook value"],
      conductivity: [0.117, "from memory", "handbook value", [0.115, 0.12]],
      hotConductivity: [0.117, "from memory", "value at 20 degC kept, no hot value at hand"],
    },
  ),
  card(
    { id: "ER5183", iso: "Al 5183", standards: ["AWS A5.10", "ISO 18273"], family: "aluminium" },
    {
      density: [2.66, "from memory", "handbook value"],
      solidus: [579, "verified", "maker's data sheet"],
      liquidus: [638, "verified", "maker's data sheet"],
      meltTemperature: [638, "verified", "maker's data sheet, liquidus"],
      specificHeat: [900, "from memory", "handbook value"],
      meanSpecificHeat: [1080, "from memory", "handbook value"],
      latentHeat: [390, "from memory", "handbook value"],
      conductivity: [0.117, "from memory", "handbook value"],
      hotConductivity: [0.117, "from memory", "value at 20 degC kept, no hot value at hand"],
    },
  ),
];
