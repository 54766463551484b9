import { describe, expect, test } from "vitest";
import { fitCurve } from "../../../lib/regression/index.js";
import { expectDigits } from "../../support/digits.js";

const rows = [2.1, 3.9, 6.2, 7.8, 10.1, 12.2, 13.8, 16.1].map((width, i) => ({ feed: i + 1, width }));
const line = { formula: "a + b * feed" };

describe("fitCurve", () => {
  // Slope by SciPy's linregress, with t.ppf at 6 degrees of freedom times its stderr to both sides.
  test("gives a line's slope its 95 % interval, or that of another level", () => {
    const slope = (level?: number) =>
      fitCurve({ rows, response: "width" }, level === undefined ? line : { ...line, level }).parameters[1]!;
    expectDigits(slope().estimate, 1.9976190476190478, 9);
    expectDigits(slope().lower!, 1.92959381107532, 6);
    expectDigits(slope().upper!, 2.065644284162776, 6);
    expectDigits(slope(0.9).lower!, 1.9435977725300788, 6);
    expectDigits(slope(0.9).upper!, 2.0516403227080167, 6);
  });

  test.each([0, 1, 95])("refuses the level %s", (level) => {
    expect(() => fitCurve({ rows, response: "width" }, { ...line, level })).toThrow(/level must/);
  });

  test("refuses rows without the response, the response in its own formula, and a start of no parameter", () => {
    expect(() => fitCurve({ rows: [], response: "width" }, line)).toThrow(/no row with width/);
    expect(() => fitCurve({ rows, response: "feed" }, line)).toThrow(/without feed itself/);
    expect(() => fitCurve({ rows, response: "width" }, { ...line, start: { c: 1 } })).toThrow(
      /no parameter c to start; its parameters: a, b/,
    );
  });
});
