import { describe, expect, test } from "vitest";
import {
  fieldText,
  fieldValue,
  isFar,
  isWhole,
  keyOf,
  type PadKey,
  press,
} from "../../lib/bench/pad/index.js";
import { fc } from "../support/properties.js";

const typed = (keys: string, decimals: number): string =>
  fieldText([...keys].reduce((field, key) => press(field, key as PadKey), { keys: "", decimals }));

describe("a number typed without a mark", () => {
  test.each([
    ["59", 1, "5.9"],
    ["593", 2, "5.93"],
    ["5", 1, "0.5"],
    ["5", 2, "0.05"],
    ["123", 1, "12.3"],
    ["0059", 1, "5.9"],
    ["7", 0, "7"],
    ["-59", 1, "-5.9"],
    ["", 1, ""],
  ])("%s with %i decimals is %s", (keys, decimals, text) => {
    expect(typed(keys, decimals)).toBe(text);
  });

  test("has its last digits behind the mark, whatever they are", () => {
    fc.assert(
      fc.property(fc.integer({ min: 0, max: 999_999 }), fc.integer({ min: 0, max: 3 }), (n, decimals) => {
        expect(Number(typed(String(n), decimals))).toBe(Number(`${n}e-${decimals}`));
      }),
    );
  });
});

describe("a number typed with a mark", () => {
  test.each([
    ["5.9", 2, "5.9"],
    ["12.", 1, "12"],
    [".5", 1, "0.5"],
    ["5..9", 1, "5.9"],
    ["-3.25", 1, "-3.25"],
  ])("%s stands as it was typed, whatever the decimals", (keys, decimals, text) => {
    expect(typed(keys, decimals)).toBe(text);
  });
});

test("a key that takes back undoes the key before, and a second minus the first", () => {
  fc.assert(
    fc.property(fc.stringMatching(/^\d{0,5}$/), fc.constantFrom("1", "9", "."), (keys, key) => {
      const field = { keys, decimals: 1 };
      expect(press(press(field, key as PadKey), "back")).toEqual(field);
      expect(press(press(field, "-"), "-")).toEqual(field);
    }),
  );
});

describe("a field is whole, so that the next may be typed at once,", () => {
  const range = { lower: 5.2, upper: 6.8 };

  test.each([
    ["59", 1, true],
    ["5", 1, false],
    ["593", 2, true],
    ["59", 2, false],
    // Far from what is expected: another digit may follow, and whoever types says when it is done.
    ["12", 1, false],
    ["123", 1, false],
    ["5.9", 1, false],
  ])("%s with %i decimals: %s", (keys, decimals, whole) => {
    expect(isWhole({ keys, decimals }, range)).toBe(whole);
  });

  test("never where nothing is expected", () => {
    expect(isWhole({ keys: "59", decimals: 1 }, undefined)).toBe(false);
  });

  test("only where no further digit leads back to what is expected", () => {
    const digits = fc.integer({ min: 1, max: 9999 });
    const bounds = fc.tuple(
      fc.double({ min: 0.1, max: 50, noNaN: true }),
      fc.double({ min: 1, max: 30, noNaN: true }),
    );
    fc.assert(
      fc.property(digits, fc.integer({ min: 0, max: 3 }), bounds, (n, decimals, [lower, times]) => {
        const field = { keys: String(n), decimals };
        const own = { lower, upper: lower * times };
        if (!isWhole(field, own)) return;
        for (const key of "0123456789") {
          const longer = fieldValue(press(field, key as PadKey))!;
          expect(isFar(longer, own)).toBe(true);
        }
      }),
    );
  });
});

test("a keyboard's comma and point are the mark, and letters are nothing", () => {
  expect([",", ".", "7", "-", "Backspace", "a", "Enter"].map(keyOf)).toEqual([
    ".",
    ".",
    "7",
    "-",
    "back",
    undefined,
    undefined,
  ]);
});
