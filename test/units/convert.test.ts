import { describe, expect, test } from "vitest";
import { convert, convertDifference, findUnit, sameDimension, unitsLike } from "../../lib/units/index.js";
import { expectDigits } from "../support/digits.js";
import { fc } from "../support/properties.js";

/** Exact by the international yard and pound agreement of 1959 and the US gallon, or printed in NIST SP 811. */
const table: readonly (readonly [number, string, string, number])[] = [
  [1, "in", "mm", 25.4],
  [1, "in/min", "mm/s", 0.42333333],
  [1, "in/min", "m/min", 0.0254],
  [1, "m/min", "mm/s", 16.66667],
  [1, "m/min", "in/min", 39.37008],
  [1, "ft/min", "mm/s", 5.08],
  [1, "ft3/h", "L/min", 0.4719474],
  [1, "L/min", "ft3/h", 2.11888],
  [1, "lb/h", "kg/h", 0.45359237],
  [1, "oz", "g", 28.349523],
  [1, "lb/in3", "g/cm3", 27.6799],
  [1, "kJ/in", "kJ/mm", 0.03937008],
  [1, "psi", "bar", 0.06894757],
  [1, "inH2O", "Pa", 249.089],
  [1, "gal/min", "L/min", 3.785412],
  [300, "degF", "degC", 148.889],
  [20, "degC", "K", 293.15],
  [32, "degF", "degC", 0],
];

for (const [value, from, to, expected] of table) {
  test(`${value} ${from} is ${expected} ${to}`, () => {
    expectDigits(convert(value, from, to), expected, expected === 0 ? 12 : 5.5);
  });
}

test("a temperature difference has no offset", () => {
  expectDigits(convertDifference(18, "degF", "degC"), 10, 14);
  expectDigits(convertDifference(5, "K", "degC"), 5, 15);
});

const dimensions = ["mm", "mm/s", "L/min", "degC", "s", "g", "bar", "1", "J/mm", "g/cm3", "deg"];

describe.each(dimensions)("units like %s", (base) => {
  test("convert there and back, and differences scale alike", () => {
    fc.assert(
      fc.property(
        fc.double({ min: -1e4, max: 1e4, noNaN: true }),
        fc.constantFrom(...unitsLike(base)),
        fc.constantFrom(...unitsLike(base)),
        (value, from, to) => {
          const scale = convertDifference(1, from, to);
          const back = convert(convert(value, from, to), to, from);
          const room = 1e-10 * (Math.abs(value) + 1000 + 1000 / Math.abs(scale));
          expect(Math.abs(back - value)).toBeLessThan(room);
          const gap = convert(value + 1, from, to) - convert(value, from, to);
          expect(Math.abs(gap - scale)).toBeLessThan(1e-9 * (Math.abs(value * scale) + 1000 + scale));
        },
      ),
    );
  });
});

test("kinds of quantity are told apart", () => {
  expect(sameDimension("ipm", "mm/s")).toBe(true);
  expect(sameDimension("cfh", "mm/s")).toBe(false);
  expect(() => convert(1, "mm", "s")).toThrow(/cannot convert "mm" \(length\) to "s" \(time\)/);
  expect(() => findUnit("furlong")).toThrow(/unknown unit "furlong"/);
});
