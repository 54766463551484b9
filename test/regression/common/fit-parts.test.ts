import { describe, expect, test } from "vitest";
import { BeadbenchError } from "../../../lib/errors/index.js";
import {
  checkObservations,
  diagnoseRows,
  type Fit,
  isRounding,
  type Model,
  parameterSlopes,
  registerRowFunctions,
  requireConverged,
  requireRows,
  roundingFloor,
  rowFunctionsOf,
  tFactor,
  tIntervals,
  unusualRows,
} from "../../../lib/regression/common/index.js";
import { fitLinear } from "../../../lib/regression/linear/index.js";
import { expectDigits } from "../../support/digits.js";
import { fc } from "../../support/properties.js";
import { distance, rows, speed } from "./stopping-distances.js";

const names = ["a", "b"];
const fit = fitLinear({ x: rows, y: distance }, { names });

describe("what a straight line's fit says of its rows and coefficients", () => {
  test("residuals, leverage and intervals are those of R", () => {
    // R 4: m <- lm(dist ~ speed, cars); rstandard, rstudent, cooks.distance, hatvalues at 49; confint(m, level = 0.9).
    const row = diagnoseRows(fit)[48]!;
    expectDigits(row.studentised, 2.91906038312552, 12);
    expectDigits(row.external, 3.184992840075446, 12);
    expectDigits(row.cook, 0.34039593360643833, 12);
    expectDigits(row.leverage, 0.07398540145985402, 12);
    // 2 * 50 * pt(-rstudent, 47) is 0.1285: large, but not among fifty.
    expectDigits(row.outlierP, 0.12853302722238941, 9);
    expect(unusualRows(fit)).toEqual([]);
    const [a, b] = tIntervals(fit, { level: 0.9 });
    expectDigits(a!.lower, -28.914514270652461, 11);
    expectDigits(a!.upper, -6.24367551036941, 11);
    expectDigits(b!.lower, 3.235500676315953, 11);
    expectDigits(b!.upper, 4.62931684193222, 11);
  });

  test("the factor of an interval is Student's t of the tables, and a level outside 0 to 1 is refused", () => {
    for (const [df, t] of [
      [1, 12.706204736174694],
      [5, 2.5705818356363137],
      [30, 2.0422724563012378],
    ] as const)
      expectDigits(tFactor(0.95, df), t, 12);
    for (const level of [0, 1, 95, -0.5, Number.NaN])
      expect(() => tFactor(level, 10), String(level)).toThrow(BeadbenchError);
  });
});

describe("derivatives of a model", () => {
  const decay: Model = { parameters: ["a", "k"], predict: ([a, k], [t]) => a! * Math.exp(-k! * t!) };

  test("by differences are the calculus', over many sizes of parameters", () => {
    fc.assert(
      fc.property(
        fc.double({ min: -6, max: 6, noNaN: true }),
        fc.double({ min: -4, max: 4, noNaN: true }),
        (size, rate) => {
          const [a, k] = [10 ** size, 10 ** rate];
          const times = [0.3, 1, 2].map((one) => one / k);
          parameterSlopes(
            decay,
            [a, k],
            times.map((t) => [t]),
          ).forEach(([byA, byK], i) => {
            const e = Math.exp(-k * times[i]!);
            expectDigits(byA!, e, 8);
            expectDigits(byK!, -a * times[i]! * e, 8);
          });
        },
      ),
    );
  });

  test("by a model's own gradient are taken as they stand; a model that is not finite is refused", () => {
    const own: Model = { ...decay, gradient: () => [3, 4] };
    expect(parameterSlopes(own, [1, 1], [[0], [5]])).toEqual([
      [3, 4],
      [3, 4],
    ]);
    const root: Model = { parameters: ["a"], predict: ([a], [x]) => Math.sqrt(a! - x!) };
    expect(() => parameterSlopes(root, [1], [[0], [2]])).toThrow(/not finite/);
  });

  test("functions of all rows at once go with the gradient they were made for and with no other", () => {
    const gradient = () => [1];
    const model: Model = { parameters: ["a"], predict: ([a]) => a!, gradient };
    expect(rowFunctionsOf(model)).toBeUndefined();
    registerRowFunctions(model.predict, gradient, { values: () => 0, slopes: () => 0 });
    expect(rowFunctionsOf(model)).toBeDefined();
    expect(rowFunctionsOf({ ...model, gradient: () => [1] })).toBeUndefined();
    expect(rowFunctionsOf({ parameters: ["a"], predict: model.predict })).toBeUndefined();
    expect(rowFunctionsOf({ ...model, predict: ([a]) => a! })).toBeUndefined();
  });
});

describe("what no fit can use", () => {
  test.each([
    ["more values than rows", { x: [[1]], y: [1, 2] }, /x has 1 rows and y has 2 values/],
    ["a short row", { x: [[1, 2], [1]], y: [1, 2] }, /row 2 of x has 1 values, row 1 has 2/],
    ["no number in x", { x: [[1], [Number.NaN]], y: [1, 2] }, /x in row 2/],
    ["an infinite y", { x: [[1], [2]], y: [1, Number.POSITIVE_INFINITY] }, /y in row 2/],
    ["a weight of 0", { x: [[1], [2]], y: [1, 2], weights: [1, 0] }, /weight of row 2/],
    ["a weight too few", { x: [[1], [2]], y: [1, 2], weights: [1] }, /1 weights for 2 rows/],
  ])("%s is refused by its place", (_, observations, place) => {
    expect(() => checkObservations("fitTest", observations)).toThrow(BeadbenchError);
    expect(() => checkObservations("fitTest", observations)).toThrow(/^fitTest: /);
    expect(() => checkObservations("fitTest", observations)).toThrow(place);
  });

  test("sound rows pass, as many as parameters are too few, and a fit that stopped short answers nothing", () => {
    expect(() => checkObservations("fitTest", { x: rows, y: distance })).not.toThrow();
    expect(() => requireRows("fitTest", 3, 2)).not.toThrow();
    expect(() => requireRows("fitTest", 2, 2)).toThrow(/more rows than parameters \(2\), got 2/);
    expect(requireConverged(fit)).toBe(fit);
    const stopped: Fit = {
      ...fit,
      status: "singular",
      findings: [{ code: "flat", severity: "error", message: "k does not show" }],
    };
    expect(() => requireConverged(stopped)).toThrow(/did not converge \(singular\): k does not show/);
  });
});

test("residuals at the floor of rounding are told apart from scatter, whatever unit they are in", () => {
  // A double holds 53 bits: its unit of rounding is 2^-52 of the number (IEEE 754).
  fc.assert(
    fc.property(fc.integer({ min: -100, max: 100 }), (power) => {
      const bulk = 10 ** power;
      expect(isRounding((2 ** -50 * bulk) ** 2, bulk)).toBe(true);
      expect(isRounding((1e-9 * bulk) ** 2, bulk)).toBe(false);
    }),
  );
  // Responses that were computed from the line, and ones that were measured.
  const length = (values: readonly number[]) => Math.sqrt(values.reduce((sum, y) => sum + y * y, 0));
  const computed = speed.map((v) => 0.1 + 0.3 * v);
  const { rss } = fitLinear({ x: rows, y: computed }, { names });
  expect(roundingFloor(rss, length(computed)).map(({ code }) => code)).toEqual(["rounding-floor"]);
  expect(roundingFloor(fit.rss, length(distance))).toEqual([]);
});
