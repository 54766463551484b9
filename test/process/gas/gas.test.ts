import { describe, expect, test } from "vitest";
import {
  argonDensity,
  checkCupFlow,
  checkCylinder,
  checkRoomOxygen,
  couponGas,
  cupBore,
  cupFlow,
  cylinderContent,
  laminarCeiling,
  largestLeak,
  oxygenAfter,
  oxygenAfterRefills,
  oxygenFloor,
  oxygenLeak,
  pressureLeak,
  purgeTime,
  purgeVolumes,
  roomOxygen,
  roomOxygenAfterLoss,
} from "../../../lib/process/index.js";
import { convert } from "../../../lib/units/index.js";
import { expectDigits } from "../../support/digits.js";
import { readFixture } from "../../support/fixture.js";
import { fc } from "../../support/properties.js";
import { checkTable } from "../check-table.js";

checkTable("cups in sixteenths of an inch, common to torch makers", [
  ["number 4", () => cupBore(4), 6.35],
  ["number 5", () => cupBore(5), 7.94, 3.5],
  ["number 6", () => cupBore(6), 9.525],
  ["number 7", () => cupBore(7), 11.11, 3.5],
  ["number 8", () => cupBore(8), 12.7],
  ["number 10", () => cupBore(10), 15.875],
  ["number 12", () => cupBore(12), 19.05],
]);

checkTable("pipe flow of argon (2.23e-5 Pa s, 1.66 kg/m3) at Re = 2000, computed by hand", [
  ["number 8, L/min", () => laminarCeiling(cupBore(8)), 16.08],
  ["number 6, L/min", () => laminarCeiling(cupBore(6)), 12.06],
  ["number 5, L/min", () => laminarCeiling(cupBore(5)), 10.05],
  ["Re of 10 L/min, number 8", () => cupFlow(10, 12.7).reynolds, 1244, 3.5],
  ["exit speed, m/s", () => cupFlow(10, 12.7).exitSpeed, 1.316, 3.5],
]);

const purge = { volume: 200, flow: 10 };

checkTable("well-mixed enclosure, ln(C0/C), computed by hand", [
  ["volumes to 500 ppm", () => purgeVolumes(500), 6.0379],
  ["volumes to 100 ppm", () => purgeVolumes(100), 7.6473],
  ["volumes to 50 ppm", () => purgeVolumes(50), 8.3405],
  ["volumes to 20 ppm", () => purgeVolumes(20), 9.2568],
  ["200 L to 100 ppm, L", () => 10 * purgeTime({ ...purge, supplyOxygen: 0 }, 100)!, 1529.46],
  ["floor with 5 mL/min of leak, ppm", () => oxygenFloor({ ...purge, leak: 0.005 }), 109.7],
  ["largest leak for 50 ppm, mL/min", () => 1000 * largestLeak(10, 50), 2.15, 3],
  ["time to 150 ppm over that floor, min", () => purgeTime({ ...purge, leak: 0.005 }, 150)!, 171.1, 3],
  [
    "tight box, floor 8 ppm, to 50 ppm at 20 L/min",
    () => purgeTime({ volume: 200, flow: 20, supplyOxygen: 8 }, 50)!,
    85.1,
    3,
  ],
  ["three refills from 50 mbar, ppm", () => oxygenAfterRefills(50, 3), 25.2, 3],
  ["pressure decay, mL/min", () => 1000 * pressureLeak(200, 1013, 1), 197.4, 3.5],
  ["oxygen rise 100 to 160 ppm in 10 min, mL/min", () => 1000 * oxygenLeak(200, [100, 160], 10), 5.73, 3],
]);

checkTable("NIST Chemistry WebBook, argon at 2400 psia and 300 K", [
  ["density, kg/m3", () => argonDensity(convert(2400, "psi", "bar"), 26.85), 279.24, 3.9],
]);

interface ArgonReference {
  readonly cases: readonly { readonly bar: number; readonly celsius: number; readonly density: number }[];
  /** A 50 L cylinder at 200 bar and 15 degC: its content, and what its gauge reads when it is colder or warmer. */
  readonly cylinder: {
    readonly content: number;
    readonly sealed: readonly { celsius: number; bar: number }[];
  };
}

const { cases, cylinder } = readFixture<ArgonReference>(import.meta.url, "../fixtures/argon-density.json");

describe("argon by the reference equation of Tegeler, Span and Wagner (fixtures/argon_density.py)", () => {
  test.each(cases)(
    "$bar bar and $celsius degC: $density kg/m3 within the 0.2 % of the short form",
    (state) => {
      const error = argonDensity(state.bar, state.celsius) / state.density - 1;
      expect(Math.abs(error)).toBeLessThan(0.003);
    },
  );

  test.each(cylinder.sealed)("a sealed cylinder holds the same at $celsius degC and $bar bar", (state) => {
    const content = cylinderContent(50, state.bar, state.celsius);
    expect(Math.abs(content / cylinder.content - 1)).toBeLessThan(0.003);
  });

  test("no state of a cylinder is refused in the middle of its range, and one beyond it is", () => {
    expect(() => argonDensity(401, 15)).toThrow("cylinder pressure must be above 0 bar and at most 400 bar");
    expect(() => argonDensity(200, 81)).toThrow("cylinder temperature");
  });
});

const coupon = { purge: 1529.46, couponsPerClosing: 1, flow: 10, arcTime: 300, idleTime: 240 };

checkTable("gas of one coupon at 9.00 per m3, by hand", [
  ["litres", () => couponGas(coupon, 9).total, 1619.46],
  ["cost", () => couponGas(coupon, 9).cost, 14.575],
  ["cost with six per closing", () => couponGas({ ...coupon, couponsPerClosing: 6 }, 9).cost, 3.1042],
]);

checkTable("room air, mixed through, by hand", [
  ["10 L/min into 30 m3 at 0.5 changes per hour, %", () => roomOxygen(10, 30, 0.5), 20.144],
  ["a 10.7 m3 cylinder lost into 30 m3, %", () => roomOxygenAfterLoss(10.7, 30), 14.665],
]);

describe("purging", () => {
  const box = fc.record({
    volume: fc.double({ min: 10, max: 2000, noNaN: true }),
    flow: fc.double({ min: 1, max: 40, noNaN: true }),
    leak: fc.double({ min: 0, max: 0.01, noNaN: true }),
    mixing: fc.double({ min: 0.7, max: 2, noNaN: true }),
  });

  test("purgeTime is the time oxygenAfter takes, or null below the floor", () => {
    fc.assert(
      fc.property(box, fc.double({ min: 5, max: 5000, noNaN: true }), (enclosure, target) => {
        const time = purgeTime(enclosure, target);
        if (time === null) expect(oxygenFloor(enclosure)).toBeGreaterThanOrEqual(target);
        else expectDigits(oxygenAfter(enclosure, time), target, 9);
      }),
    );
  });

  test("with the largest leak the floor is exactly the target", () => {
    expectDigits(oxygenFloor({ ...purge, leak: largestLeak(10, 50) }), 50, 12);
  });
});

test("cautions", () => {
  expect(checkCupFlow(10, 12.7)).toEqual([]);
  expect(checkCupFlow(18, 12.7).map(({ code }) => code)).toEqual(["gas-turbulent"]);
  expect(checkCupFlow(5, 12.7).map(({ code }) => code)).toEqual(["gas-thin"]);
  expect(checkCylinder(10.7, 8, 50)).toEqual([]);
  expect(checkCylinder(10.7, 9.5, 50).map(({ code }) => code)).toEqual(["gas-tight"]);
  expect(checkCylinder(10.7, 12, 50).map(({ code }) => code)).toEqual(["gas-short"]);
  expect(checkRoomOxygen(20.1)).toEqual([]);
  expect(checkRoomOxygen(14.7)[0]!.message).toMatch(/14.7 % oxygen/);
});
