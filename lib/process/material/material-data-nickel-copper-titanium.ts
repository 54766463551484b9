import { card } from "./material-data.js";
import type { MaterialCard } from "./material-types.js";

/** Nickel, silicon bronze and titanium wires. */
export const nickelCopperTitaniumCards: readonly MaterialCard[] = [
  card(
    { id: "ERNiCrMo-3", iso: "Ni 6625", standards: ["AWS A5.14", "ISO 18274"], family: "nickel" },
    {
      density: [8.44, "verified", "maker's data sheet"],
      solidus: [1290, "verified", "maker's data sheet"],
      liquidus: [1350, "verified", "maker's data sheet"],
      meltTemperature: [1350, "verified", "maker's data sheet, liquidus"],
      specificHeat: [410, "verified", "maker's data sheet"],
      meanSpecificHeat: [550, "from memory", "handbook value"],
      latentHeat: [290, "from memory", "handbook value"],
      conductivity: [0.0098, "verified", "maker's data sheet", [0.0098, 0.0109]],
      hotConductivity: [0.025, "verified", "maker's data sheet"],
    },
  ),
  card(
    { id: "ERNiCr-3", iso: "Ni 6082", standards: ["AWS A5.14", "ISO 18274"], family: "nickel" },
    {
      density: [8.3, "from memory", "handbook value", [8.2, 8.4]],
      solidus: [1350, "from memory", "handbook value"],
      liquidus: [1410, "from memory", "handbook value"],
      meltTemperature: [1410, "from memory", "liquidus"],
      specificHeat: [440, "from memory", "handbook value"],
      meanSpecificHeat: [560, "from memory", "handbook value"],
      latentHeat: [290, "from memory", "handbook value"],
      conductivity: [0.013, "from memory", "handbook value"],
      hotConductivity: [0.013, "from memory", "value at 20 degC kept, no hot value at hand"],
    },
  ),
  card(
    { id: "ERCuSi-A", iso: "Cu 6560", standards: ["AWS A5.7", "ISO 24373"], family: "copper" },
    {
      density: [8.53, "verified", "wrought twin C65500 data sheet"],
      solidus: [970, "verified", "wrought twin C65500 data sheet", [970, 971]],
      liquidus: [1025, "verified", "wrought twin C65500 data sheet; filler sheet 1027", [1025, 1027]],
      meltTemperature: [1027, "verified", "filler data sheet, liquidus"],
      specificHeat: [377, "verified", "wrought twin C65500 data sheet", [377, 400]],
      meanSpecificHeat: [430, "verified", "wrought twin C65500 data sheet"],
      latentHeat: [210, "verified", "wrought twin C65500 data sheet", [210, 260]],
      conductivity: [0.036, "verified", "wrought twin C65500 data sheet"],
      hotConductivity: [0.036, "verified", "wrought twin C65500 data sheet, value at 20 degC kept"],
    },
  ),
  card(
    { id: "ERTi-5", iso: "Ti 6402", standards: ["AWS A5.16", "ISO 24034"], family: "titanium" },
    {
      density: [4.43, "from memory", "handbook value"],
      solidus: [1604, "from memory", "handbook value"],
      liquidus: [1660, "from memory", "handbook value"],
      meltTemperature: [1660, "from memory", "liquidus"],
      specificHeat: [526, "from memory", "handbook value"],
      meanSpecificHeat: [700, "from memory", "handbook value"],
      latentHeat: [290, "from memory", "handbook value"],
      conductivity: [0.0067, "from memory", "handbook value"],
      hotConductivity: [0.02, "from memory", "handbook value"],
    },
  ),
];
