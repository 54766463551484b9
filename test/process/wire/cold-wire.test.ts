import { expect, test } from "vitest";
import {
  cardEnthalpy,
  dropBridging,
  feedCeiling,
  hangingDropDiameter,
  materialCard,
  meltingEnthalpy,
  wireLoad,
  wireShare,
} from "../../../lib/process/index.js";
import { expectDigits } from "../../support/digits.js";
import { fc } from "../../support/properties.js";
import { checkTable } from "../check-table.js";

const wire = { wireDiameter: 1.2, wireFeedSpeed: 20, enthalpy: 10.5 };
const arc = { voltage: 12, current: 150, efficiency: 0.67 };
const enthalpy = (id: string) => () => cardEnthalpy(materialCard(id));

checkTable(
  "heat to melt, computed by hand from each card's density, mean c, melt temperature and latent heat",
  [
    ["carbon steel", enthalpy("ER70S-6"), 10.02],
    ["316L", enthalpy("ER316L"), 8.84],
    ["4043", enthalpy("ER4043"), 2.82708],
    ["4047", enthalpy("ER4047"), 2.83811],
    ["5356", enthalpy("ER5356"), 2.78309],
    ["alloy 625", enthalpy("ERNiCrMo-3"), 8.62, 3],
    ["CuSi3", enthalpy("ERCuSi-A"), 5.48, 3],
    ["Ti-6Al-4V", enthalpy("ERTi-5"), 6.37, 3],
  ],
);

checkTable("power balance of a cold wire, computed by hand for 1.2 mm at 20 mm/s, 12 V, 150 A", [
  ["wire load, W", () => wireLoad(wire), 237.5],
  ["share of gross power", () => wireShare(wire, { ...arc, efficiency: 1 }), 0.1319, 3],
  ["share of net power", () => wireShare(wire, arc), 0.1969, 3],
  ["feed ceiling at 25 %, mm/s", () => feedCeiling(wire, arc), 25.389],
]);

checkTable("drop geometry: sphere of the gap's size; Tate's law for 1.2 mm steel wire", [
  ["period at 2 mm gap, s", () => dropBridging(2, wire, 3).period, 0.18518],
  ["pitch at 2 mm gap, mm", () => dropBridging(2, wire, 3).pitch, 0.55556],
  ["largest hanging drop, mm", () => hangingDropDiameter(1.2, 1.7, 7), 5.63, 3],
]);

test("at the feed ceiling the wire takes exactly its share", () => {
  fc.assert(
    fc.property(
      fc.double({ min: 0.6, max: 2.4, noNaN: true }),
      fc.double({ min: 1, max: 12, noNaN: true }),
      fc.double({ min: 0.05, max: 0.9, noNaN: true }),
      (wireDiameter, enthalpyOfWire, share) => {
        const wireFeedSpeed = feedCeiling({ wireDiameter, enthalpy: enthalpyOfWire }, arc, share);
        fc.pre(wireFeedSpeed < 600);
        expectDigits(wireShare({ wireDiameter, wireFeedSpeed, enthalpy: enthalpyOfWire }, arc), share, 12);
      },
    ),
  );
});

test("a wire hotter than its melting point is refused", () => {
  const data = { density: 2.69, meanSpecificHeat: 1080, meltTemperature: 632, latentHeat: 390 };
  expect(() => meltingEnthalpy(data, 700)).toThrow(/wire temperature must be below 632 degC, got 700 degC/);
});
