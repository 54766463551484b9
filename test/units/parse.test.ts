import { describe, expect, test } from "vitest";
import { BeadbenchError } from "../../lib/errors/index.js";
import { formatQuantity, parseIn, parseQuantity, unitsLike } from "../../lib/units/index.js";
import { expectDigits } from "../support/digits.js";
import { fc } from "../support/properties.js";

describe("parseQuantity reads what shops write", () => {
  test.each([
    ["5/64 in", 5 / 64, "in"],
    ["5/64", 5 / 64, "in"],
    ['5/64"', 5 / 64, "in"],
    ['0.045"', 0.045, "in"],
    [".045 in.", 0.045, "in"],
    ["1 1/4 in", 1.25, "in"],
    ['2-3/8"', 2.375, "in"],
    ["-1/8 in", -0.125, "in"],
    ["120 ipm", 120, "in/min"],
    ["120IPM", 120, "in/min"],
    ["25 cfh", 25, "ft3/h"],
    ["25 CFH", 25, "ft3/h"],
    ["300F", 300, "degF"],
    ["300 °F", 300, "degF"],
    ["150 deg C", 150, "degC"],
    ["150C", 150, "degC"],
    ["-5 degC", -5, "degC"],
    ["293 K", 293, "K"],
    ["1.2mm", 1.2, "mm"],
    ["  1.2   mm ", 1.2, "mm"],
    ["1e-3 m", 0.001, "m"],
    ["6 m/min", 6, "m/min"],
    ["10 lpm", 10, "L/min"],
    ["1.4 lbs/hr", 1.4, "lb/h"],
    ["6'", 6, "ft"],
    ["35 %", 35, "%"],
    ["0.35 1", 0.35, "1"],
    ["150 amps", 150, "A"],
    ["0.6 kJ/mm", 0.6, "kJ/mm"],
    ["15.24 KJ/IN", 15.24, "kJ/in"],
    ["30 deg", 30, "deg"],
  ] as const)("%s", (text, value, unit) => {
    const quantity = parseQuantity(text);
    expect(quantity.unit).toBe(unit);
    expectDigits(quantity.value, value, 14);
  });

  test.each([
    ["20 AWG", 0.8118],
    ["AWG 18", 1.0237],
    ["16 ga", 1.2908],
    ["14 awg", 1.6277],
    ["12 AWG", 2.0525],
    ["10 gauge", 2.5882],
  ] as const)("%s, ASTM B258 diameter", (text, millimetres) => {
    expectDigits(parseIn(text, "mm"), millimetres, 4);
  });

  test("a bare number is read where a shop has one unit only", () => {
    expect(parseQuantity("150", "A")).toEqual({ value: 150, unit: "A" });
    expect(parseQuantity("12.5", "V")).toEqual({ value: 12.5, unit: "V" });
    expect(parseQuantity("30", "deg")).toEqual({ value: 30, unit: "deg" });
  });
});

describe("parseQuantity refuses, and says what to write", () => {
  test.each([
    [
      "120",
      "mm/s",
      /"120" has no unit, and more than one is common here: write 120 mm\/s, .* or 120 in\/min/,
    ],
    ["0.045", "mm", /write 0.045 mm, .*0.045 in/],
    ["300", "degC", /write 300 degC, 300 degF or 300 K/],
    ["25", "L/min", /more than one is common/],
    ["30", "1", /write 30 1, 30 % or 30 ppm/],
    ["120", undefined, /"120" has no unit: write 120 mm/],
    ["25 cfh", "mm/s", /"25 cfh" is a flow; a speed is wanted here, such as mm\/s/],
    ["1,2 mm", "mm", /has a comma: write a point/],
    ["1,200 mm", "mm", /has a comma/],
    ["1.2.3 mm", "mm", /does not begin with a number/],
    ["12 parsec", "mm", /unknown unit "parsec"/],
    ["1/0 in", "mm", /divides by 0/],
    ["fast", "mm/s", /does not begin with a number/],
    ["", "mm", /is empty/],
    ["1e999 mm", "mm", /is too large/],
    ["1/2/3 in", "mm", /unknown unit/],
  ] as const)("%s as %s", (text, like, message) => {
    expect(() => parseQuantity(text, like)).toThrow(BeadbenchError);
    expect(() => parseQuantity(text, like)).toThrow(message);
  });

  test("parseIn on bare feeds and temperatures, where a guess would be wrong by 60 or 32", () => {
    expect(() => parseIn("120", "mm/min")).toThrow(/more than one is common/);
    expectDigits(parseIn("120 ipm", "mm/s"), 50.8, 14);
    expectDigits(parseIn("300F", "degC"), 148.889, 6);
    expectDigits(parseIn("25 cfh", "L/min"), 11.798685, 6);
  });
});

const units = [
  "mm",
  "mm/s",
  "L/min",
  "degC",
  "s",
  "g",
  "g/s",
  "bar",
  "A",
  "V",
  "W",
  "J",
  "J/mm",
  "deg",
  "1",
  "mm2",
  "L",
  "Hz",
  "g/cm3",
].flatMap((unit) => unitsLike(unit));

test("what formatQuantity writes, parseQuantity reads back exactly", () => {
  fc.assert(
    fc.property(
      fc.double({ noNaN: true, noDefaultInfinity: true }).filter((value) => !Object.is(value, -0)),
      fc.constantFrom(...units),
      (value, unit) => {
        expect(parseQuantity(formatQuantity({ value, unit }), unit)).toEqual({ value, unit });
      },
    ),
    { numRuns: 500 },
  );
});

test("inch fractions read as their decimals, signed and mixed", () => {
  fc.assert(
    fc.property(
      fc.integer({ min: 0, max: 40 }),
      fc.integer({ min: 1, max: 63 }),
      fc.constantFrom(2, 4, 8, 16, 32, 64),
      fc.boolean(),
      (whole, top, bottom, minus) => {
        const size = (whole + top / bottom) * (minus ? -1 : 1);
        const text = `${minus ? "-" : ""}${whole === 0 ? "" : `${whole} `}${top}/${bottom} in`;
        expectDigits(parseIn(text, "mm"), size * 25.4, 13);
      },
    ),
  );
});

test("any text is read or refused with a BeadbenchError, never with NaN", () => {
  fc.assert(
    fc.property(fc.oneof(fc.string(), fc.stringMatching(/^[-0-9./ "eF,inmc]{1,9}$/)), (text) => {
      try {
        expect(Number.isFinite(parseQuantity(text).value)).toBe(true);
      } catch (error) {
        expect(error).toBeInstanceOf(BeadbenchError);
      }
    }),
    { numRuns: 500 },
  );
});
