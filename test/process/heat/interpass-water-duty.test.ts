import { expect, test } from "vitest";
import {
  checkWater,
  currentAtDuty,
  dutyAt,
  dwellTime,
  interpassLimits,
  lumpTemperature,
  lumpTimeConstant,
  periodicRise,
  waterHeat,
  waterRise,
  worstDuty,
} from "../../../lib/process/index.js";
import { convert } from "../../../lib/units/index.js";
import { expectDigits } from "../../support/digits.js";
import { fc } from "../../support/properties.js";
import { checkTable } from "../check-table.js";

const cycle = { netPower: 1000, resistance: 0.5, timeConstant: 150, arcTime: 60, dwell: 100 };

checkTable("one lump cooling by Newton's law, computed by hand", [
  ["time constant, s", () => lumpTimeConstant(500, 600, 0.5), 150],
  ["400 to 150 degC, s", () => dwellTime({ from: 400, to: 150, surroundings: 20, timeConstant: 150 }), 160.9],
  ["peak rise of the cycle, K", () => periodicRise(cycle).peak, 251.34],
  ["interpass rise, K", () => periodicRise(cycle).interpass, 129.04],
  ["mean rise, K", () => periodicRise(cycle).mean, 187.5],
]);

checkTable("AWS A5.7 guidance for ERCuSi-A: 150 degF", [
  ["interpass limit", () => interpassLimits.copper.value, convert(150, "degF", "degC"), 2],
]);

checkTable("specific heat of water, CRC Handbook 4.184 J/(g K), 0.998 g/mL", [
  ["2 L/min, 5 K", () => waterHeat(2, 5), ((2 * 998) / 60) * 4.184 * 5, 3],
  ["2 L/min, 5 K, printed", () => waterHeat(2, 5), 696.3],
  ["rise undoes heat", () => waterRise(waterHeat(3, 7), 3), 7, 12],
]);

checkTable("duty rule X2 = X1 (I1/I2)^2, published worked example 400 A at 25 % gives 282.84 A at 50 %", [
  ["400 A at 25 % for 50 %", () => currentAtDuty({ current: 400, duty: 0.25 }, 0.5), 282.84],
  ["200 A at 35 % for 100 %", () => currentAtDuty({ current: 200, duty: 0.35 }, 1), 118.32],
  ["200 A at 35 %, 150 A", () => dutyAt({ current: 200, duty: 0.35 }, 150), 0.62222],
]);

test("waiting the dwell time brings the part to its interpass temperature", () => {
  fc.assert(
    fc.property(
      fc.double({ min: 200, max: 900, noNaN: true }),
      fc.double({ min: 60, max: 190, noNaN: true }),
      fc.double({ min: 5, max: 2000, noNaN: true }),
      (from, to, timeConstant) => {
        const wait = dwellTime({ from, to, surroundings: 20, timeConstant });
        expectDigits(lumpTemperature({ from, surroundings: 20, timeConstant, time: wait }), to, 10);
      },
    ),
  );
  expect(dwellTime({ from: 120, to: 150, surroundings: 20, timeConstant: 100 })).toBe(0);
  expect(() => dwellTime({ from: 400, to: 20, surroundings: 25, timeConstant: 100 })).toThrow(/never cools/);
});

test("the steady cycle repeats: a layer of heating from its interpass ends at its peak", () => {
  const { peak, interpass } = periodicRise(cycle);
  expectDigits(500 + (interpass - 500) * Math.exp(-60 / 150), peak, 12);
});

test("duty is capped at 100 %, and no current above the largest is allowed", () => {
  const rating = { current: 200, duty: 0.35, largestCurrent: 220 };
  expect(dutyAt(rating, 100)).toBe(1);
  expect(dutyAt(rating, 221)).toBe(0);
  expect(currentAtDuty(rating, 0.1)).toBe(220);
  expectDigits(dutyAt(rating, currentAtDuty(rating, 0.6)), 0.6, 12);
  expect(() => dutyAt({ current: 200, duty: 35 }, 150)).toThrow(/0.35 for 35 %/);
});

const layers = (on: number, off: number) => Array.from({ length: 40 }, () => ({ off, on }));

test("the worst ten minutes are those a window slid second by second finds", () => {
  const times = fc.integer({ min: 0, max: 400 });
  fc.assert(
    fc.property(fc.array(fc.record({ off: times, on: times }), { minLength: 1, maxLength: 30 }), (turns) => {
      const burning = turns.flatMap(({ off, on }) => [...Array(off).fill(0), ...Array(on).fill(1)]);
      let worst = 0;
      for (let from = 0; from < burning.length; from++)
        worst = Math.max(
          worst,
          burning.slice(from, from + 600).reduce((sum, arc) => sum + arc, 0),
        );
      expectDigits(worstDuty(turns), worst / 600, 12);
    }),
    { numRuns: 30 },
  );
  expect(() => worstDuty([])).toThrow(/at least one arc/);
});

test("the worst ten minutes of short layers, long layers and long dwells", () => {
  expectDigits(worstDuty(layers(60, 40)), 0.6, 12);
  expect(worstDuty(layers(700, 100))).toBe(1);
  expectDigits(worstDuty(layers(300, 1000)), 0.5, 12);
  expectDigits(worstDuty(layers(400, 100)), 500 / 600, 12);
});

test("hot water is a reason to stop and check", () => {
  expect(checkWater(40)).toEqual([]);
  expect(checkWater(52)[0]!.advice).toMatch(/stop and check/);
});
