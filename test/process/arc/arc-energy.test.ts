import { describe, expect, test } from "vitest";
import { BeadbenchError } from "../../../lib/errors/index.js";
import {
  arcEnergy,
  conventionalVoltage,
  heatInput,
  netPower,
  nominalEfficiencies,
  physicalEfficiencies,
  processOf,
} from "../../../lib/process/index.js";
import { convert } from "../../../lib/units/index.js";
import { checkTable } from "../check-table.js";

checkTable("EN 1011-1: E = U I / v and Q = k E, computed by hand for 12 V, 150 A, 3 mm/s", [
  ["arc energy, J/mm", () => arcEnergy(12, 150, 3), 600],
  ["arc energy, kJ/mm", () => convert(arcEnergy(12, 150, 3), "J/mm", "kJ/mm"), 0.6],
  ["arc energy, kJ/in", () => convert(arcEnergy(12, 150, 3), "J/mm", "kJ/in"), 15.24],
  ["heat input, k 0.6", () => heatInput(600, 0.6), 360],
  ["heat input, k 0.67", () => heatInput(600, 0.67), 402],
  ["heat input, k 0.78", () => heatInput(600, 0.78), 468],
  ["net power", () => netPower(12, 150, 0.67), 1206],
]);

checkTable("EN 1011-1 factor k as given by a steel maker's welding handbook", [
  ["submerged arc", () => nominalEfficiencies["submerged-arc"].value, 1],
  ["MAG", () => nominalEfficiencies["mig-mag"].value, 0.8],
  ["manual metal arc", () => nominalEfficiencies["manual-metal-arc"].value, 0.8],
  ["TIG", () => nominalEfficiencies.tig.value, 0.6],
]);

checkTable("DuPont and Marder, Welding Journal 74 (1995) 406s, measured efficiency", [
  ["TIG", () => physicalEfficiencies.tig.value, 0.67],
  ["plasma", () => physicalEfficiencies.plasma.value, 0.47],
  ["consumable electrode", () => physicalEfficiencies["mig-mag"].value, 0.84],
]);

checkTable("IEC 60974-1 conventional load voltage at 150 A", [
  ["TIG", () => conventionalVoltage("tig", 150)!, 16],
  ["MIG/MAG", () => conventionalVoltage("mig-mag", 150)!, 21.5],
  ["manual metal arc", () => conventionalVoltage("manual-metal-arc", 150)!, 26],
]);

describe("absurd settings are refused in a sentence", () => {
  test.each([
    [
      "voltage 200",
      () => arcEnergy(200, 150, 3),
      /arc voltage must be .*at most 80 V, got 200 V; .*open-circuit/,
    ],
    [
      "negative speed",
      () => arcEnergy(12, 150, -3),
      /travel speed must be above 0 .*got -3 mm\/s; .*direction/,
    ],
    ["speed in mm/min", () => arcEnergy(12, 150, 300), /got 300 mm\/s; .*mm\/min must be divided by 60/],
    ["no current", () => arcEnergy(12, 0, 3), /current must be above 0/],
    ["not a number", () => arcEnergy(12, Number.NaN, 3), /current must be .*got NaN/],
    ["efficiency in percent", () => heatInput(600, 67), /0.67 for 67 %.*got 67/],
    ["unknown process", () => processOf("311"), /"311" is not a process known here.*141 TIG/],
  ])("%s", (_what, run, message) => {
    expect(run).toThrow(BeadbenchError);
    expect(run).toThrow(message);
  });
});

test("processOf reads ISO 4063 numbers and their sub-numbers", () => {
  expect(["141", "142", "131", "135", "138", "136", "15", "151", "111", "121"].map(processOf)).toEqual([
    "tig",
    "tig",
    "mig-mag",
    "mig-mag",
    "mig-mag",
    "flux-cored",
    "plasma",
    "plasma",
    "manual-metal-arc",
    "submerged-arc",
  ]);
});
