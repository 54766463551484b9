import { describe, expect, test } from "vitest";
import {
  areaUncertainty,
  austeniticConductivity,
  carbonSteelConductivity,
  carbonSteelSpecificHeat,
  checkEquipment,
  checkPlasma,
  checkTungsten,
  couponsToTellApart,
  type Equipment,
  meanHalfWidth,
  plasmaGasFlow,
  repeatability,
  tungstenRange,
} from "../../../lib/process/index.js";
import { expectDigits } from "../../support/digits.js";
import { fc } from "../../support/properties.js";
import { checkTable } from "../check-table.js";

checkTable("EN 1993-1-2 carbon steel, computed by hand from its formulas", [
  ["c(20), J/(kg K)", () => carbonSteelSpecificHeat(20), 439.8],
  ["c(400), J/(kg K)", () => carbonSteelSpecificHeat(400), 605.88],
  ["c(735), the peak", () => carbonSteelSpecificHeat(735), 5000],
  ["c(1000)", () => carbonSteelSpecificHeat(1000), 650],
  ["k(400), W/(mm K)", () => carbonSteelConductivity(400), 0.04068],
  ["k(799), W/(mm K)", () => carbonSteelConductivity(799), 0.02739, 3.5],
  ["austenitic k(1000)", () => austeniticConductivity(1000), 0.0273],
]);

checkTable("duplicates, propagation and sample size, by hand (t and z from printed tables)", [
  ["sd of five pairs, mm", () => repeatability([0.05, -0.03, 0.02, 0.06, -0.04]), 0.03, 3],
  [
    "area of 6 by 2 mm at 0.05 mm",
    () => areaUncertainty({ width: 6, height: 2 }, { width: 0.05, height: 0.05 }),
    0.02635,
    3.5,
  ],
  ["half-width of 3", () => meanHalfWidth(3), 2.484, 3.5],
  ["half-width of 5", () => meanHalfWidth(5), 1.242, 3.5],
  ["coupons to see 10 % at 5 %", () => couponsToTellApart(0.05, 0.1), 4, 15],
]);

checkTable("tungsten ranges, DC negative, AWS A5.12 / ISO 6848", [
  ["1.6 mm, upper", () => tungstenRange(1.6, "dc-negative").upper.value, 150],
  ["2.4 mm, upper", () => tungstenRange(2.4, "dc-negative").upper.value, 250],
  ["3.2 mm, lower", () => tungstenRange(3.2, "dc-negative").lower.value, 200],
  ["2.4 mm on AC, upper", () => tungstenRange(2.4, "ac").upper.value, 180],
]);

const rig: Equipment = {
  source: { current: 200, duty: 0.35 },
  torch: { current: 180, duty: 0.6 },
  tungsten: { diameter: 2.4, polarity: "dc-negative" },
  cup: { bore: 12.7 },
  feeder: { largestSpeed: 60 },
  water: { flow: 2, inlet: 20 },
};
const setting = { current: 100, duty: 1, netPower: 800, gasFlow: 10, wireFeedSpeed: 20 };

describe("checkEquipment", () => {
  test("says which piece binds and what current they all bear", () => {
    const check = checkEquipment(setting, rig);
    expect(check.findings).toEqual([]);
    expect(check.binding.piece).toBe("source");
    expectDigits(check.binding.load, 100 / (0.9 * 200 * Math.sqrt(0.35)), 12);
    expect(check.currentLimit?.piece).toBe("source");
    expectDigits(check.currentLimit!.current, 0.9 * 118.3216, 6);
    expect(check.pieces.map(({ piece }) => piece).sort()).toEqual([
      "cup",
      "feeder",
      "source",
      "torch",
      "tungsten",
      "water",
    ]);
  });

  test.each([
    ["source", { current: 115 }],
    ["cup", { gasFlow: 20 }],
    ["feeder", { wireFeedSpeed: 70 }],
    ["water", { netPower: 4000 }],
  ] as const)("reports an overloaded %s", (piece, change) => {
    const check = checkEquipment({ ...setting, ...change }, rig);
    expect(check.binding.piece).toBe(piece);
    expect(check.findings.map(({ code }) => code)).toEqual([`${piece}-overloaded`]);
    expect(check.findings[0]!.advice).toMatch(/stop and check/);
  });

  test("reports a tungsten over or under its range", () => {
    const { tungsten } = rig;
    expect(checkEquipment({ current: 260, duty: 0.2 }, { tungsten: tungsten! }).findings[0]!.code).toBe(
      "tungsten-overloaded",
    );
    expect(checkEquipment({ current: 60, duty: 1 }, { tungsten: tungsten! }).findings[0]!.code).toBe(
      "tungsten-underloaded",
    );
    expect(checkTungsten(120, tungstenRange(2.4, "dc-negative"))).toEqual([]);
  });

  test("at the current limit the limiting piece is exactly full", () => {
    fc.assert(
      fc.property(fc.double({ min: 0.1, max: 1, noNaN: true }), (duty) => {
        const { currentLimit } = checkEquipment({ current: 50, duty }, rig);
        const full = checkEquipment({ current: currentLimit!.current, duty }, rig);
        expectDigits(full.binding.load, 1, 12);
        expect(full.binding.piece).toBe(currentLimit!.piece);
      }),
    );
  });

  test("a longer duty never loads a piece less", () => {
    const loads = [0.2, 0.4, 0.6, 1].map((duty) => checkEquipment({ ...setting, duty }, rig).binding.load);
    expect(loads).toEqual([...loads].sort((a, b) => a - b));
  });

  test("refuses an empty rig and an unknown tungsten", () => {
    expect(() => checkEquipment(setting, {})).toThrow(/no piece of equipment/);
    expect(() => checkEquipment(setting, { tungsten: { diameter: 5, polarity: "ac" } })).toThrow(
      /no current range at hand for a 5 mm tungsten on ac; .*2.4, 3.2/,
    );
  });
});

describe("plasma", () => {
  const torch: Equipment = { torch: { current: 150, duty: 1 }, orifice: { current: 100, plasmaGas: 0.6 } };
  const welding = { current: 90, duty: 1, process: "plasma", plasmaGas: 0.8, gasFlow: 12 } as const;

  test("the orifice is one more piece, with its maker's rating as the limit", () => {
    const check = checkEquipment(welding, torch);
    expect(check.findings).toEqual([]);
    expect(check.binding.piece).toBe("orifice");
    expectDigits(check.binding.load, 0.9, 12);
    expect(check.currentLimit).toEqual({ current: 100, piece: "orifice" });
  });

  test("too much current or too little plasma gas for the orifice warns of double arcing", () => {
    const over = checkEquipment({ ...welding, current: 110 }, torch).findings;
    expect(over.map(({ code }) => code)).toEqual(["orifice-overloaded"]);
    expect(over[0]!.message).toMatch(/110 A is above the orifice's 100 A: .*double arcing/);
    const starved = checkEquipment({ ...welding, plasmaGas: 0.4 }, torch).findings;
    expect(starved.map(({ code }) => code)).toEqual(["plasma-gas-low"]);
    expect(starved[0]!.message).toMatch(/0.40 L\/min of plasma gas is below the orifice's 0.60 L\/min/);
  });

  test("flows are held against the usual ones only where the process is plasma", () => {
    const odd = { ...welding, plasmaGas: 4, gasFlow: 5 };
    expect(checkEquipment(odd, torch).findings.map(({ code }) => code)).toEqual([
      "plasma-flow-unusual",
      "plasma-flow-unusual",
    ]);
    const { torch: bare } = torch;
    expect(checkEquipment({ ...odd, process: "tig" }, { torch: bare! }).findings).toEqual([]);
    expect(checkEquipment(welding, { torch: bare! }).findings.map(({ code }) => code)).toEqual([
      "orifice-unknown",
    ]);
  });

  test("defaults say that they come from memory; absurd values are refused", () => {
    expect(plasmaGasFlow).toMatchObject({ basis: "from memory", range: [0.3, 2] });
    expect(plasmaGasFlow.source).toMatch(/from memory/);
    expect(() => checkPlasma({ current: -5 })).toThrow(/current must be above 0/);
    expect(() => checkPlasma({ current: 50, plasmaGas: 500 })).toThrow(/gas flow must be/);
    expect(() => checkPlasma({ current: 50 }, { current: 50, plasmaGas: -1 })).toThrow(
      /least plasma gas of the orifice must be at least 0/,
    );
  });
});
