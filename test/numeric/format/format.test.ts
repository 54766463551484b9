import { readdirSync, readFileSync } from "node:fs";
import { dirname, join, relative, resolve } from "node:path";
import { fileURLToPath } from "node:url";
import { describe, expect, test } from "vitest";
import {
  brief,
  fixed,
  levelPercent,
  percent,
  settingDigits,
  significant,
} from "../../../lib/numeric/index.js";
import { fc } from "../../support/properties.js";

const lib = resolve(dirname(fileURLToPath(import.meta.url)), "..", "..", "..", "lib");

test("numeric/format/format is the only file of the library that prints numbers with digits of its own", () => {
  const files = readdirSync(lib, { recursive: true, encoding: "utf8" }).filter((name) =>
    name.endsWith(".ts"),
  );
  expect(files.length).toBeGreaterThan(300);
  const printing = files.filter((name) =>
    /\.to(?:Fixed|Precision|Exponential|LocaleString)\b|\bIntl\.NumberFormat\b|Math\.round\(100 \*/.test(
      readFileSync(join(lib, name), "utf8"),
    ),
  );
  expect(printing.map((name) => relative(".", name))).toEqual([join("numeric", "format", "format.ts")]);
});

describe("settingDigits", () => {
  test.each([
    [1249.9999999999952, "1250"],
    [0.1 + 0.2, "0.3"],
    [406.4 + 18 * 25.4, "863.6"],
    [123.4567, "123.4567"],
    [1193.8, "1193.8"],
    [0.045, "0.045"],
    [-5, "-5"],
    [0, "0"],
    [100 / 3, "33.33"],
    [0.127 * 92 ** (18 / 39), "1.024"],
  ])("%d is %s", (value, text) => {
    expect(settingDigits(value)).toBe(text);
  });

  test("prints every setting on a rig's step, and every one typed with up to eight digits, exactly", () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 1, max: 9999 }),
        fc.integer({ min: 1, max: 999 }),
        fc.integer({ min: 0, max: 3 }),
        fc.integer({ min: 0, max: 200 }),
        (low, step, decimals, count) => {
          const scale = 10 ** decimals;
          // Computed as a plan does, with what floating point leaves; the text is exact in whole numbers.
          const value = low / scale + count * (step / scale);
          expect(settingDigits(value)).toBe(String((low + count * step) / scale));
        },
      ),
    );
  });
});

describe("estimates and shares", () => {
  test.each([
    [9.996, 3, "10.0"],
    [0.99951, 3, "1.00"],
    [150, 3, "150"],
    [1.5, 3, "1.50"],
    [123456, 3, "123456"],
    [1234567, 3, "1.23e+6"],
    [0.00001234, 3, "1.23e-5"],
    [Number.NaN, 3, "-"],
    [Number.POSITIVE_INFINITY, 3, "inf"],
  ])("significant(%d, %d) is %s", (value, digits, text) => {
    expect(significant(value, digits)).toBe(text);
  });

  test("significant stays within half of its last digit, and keeps its count of digits", () => {
    fc.assert(
      fc.property(
        fc.double({ min: 2e-4, max: 9e5, noNaN: true }),
        fc.integer({ min: 1, max: 5 }),
        (value, digits) => {
          const text = significant(value, digits);
          const last = 10 ** (Math.floor(Math.log10(value)) - digits + 1);
          expect(Math.abs(Number(text) - value)).toBeLessThanOrEqual(0.5000001 * last);
          const written = text.replace(".", "").replace(/^0+/, "");
          if (text.includes(".")) expect(written.length).toBe(digits);
        },
      ),
    );
  });

  test("no minus stands before zero", () => {
    expect(fixed(-0.001, 2)).toBe("0.00");
    expect(fixed(-0.4, 0)).toBe("0");
    expect(fixed(-0.006, 2)).toBe("-0.01");
    expect(percent(-0.0001)).toBe("0 %");
  });

  test("a level prints as it was chosen, a share rounded", () => {
    expect([0.9, 0.95, 0.995, 0.999].map(levelPercent)).toEqual(["90 %", "95 %", "99.5 %", "99.9 %"]);
    expect(levelPercent(0.664889)).toBe("66.5 %");
    expect(percent(0.125)).toBe("13 %");
    expect(brief(0.5)).toBe("0.5");
  });
});
