import { describe, expect, test } from "vitest";
import { formulaModel, parameterSlopes } from "../../../lib/regression/index.js";
import { expectDigits } from "../../support/digits.js";
import { fc } from "../../support/properties.js";

const evaluate = (formula: string, x = 2): number =>
  formulaModel(`${formula} + 0 * p`, { variables: ["x"] }).predict([1], [x]);

describe("formulaModel reads ordinary arithmetic", () => {
  test.each([
    ["1 + 2 * 3", 7],
    ["(1 + 2) * 3", 9],
    ["2 ^ 3 ^ 2", 512],
    ["-x ^ 2", -4],
    ["2 ^ -1", 0.5],
    ["8 / 4 / 2", 1],
    ["5 - 3 - 1", 1],
    ["1.5e2 + .5", 150.5],
    ["x ^ 4 - x ^ (-2)", 15.75],
    ["x ^ 0.5", Math.SQRT2],
    ["2 * pi", 2 * Math.PI],
    [
      "exp(1) + log(x) + sqrt(x) + sin(x) + cos(x) + tan(x) + atan(x) + tanh(x) + abs(-x)",
      Math.E +
        Math.log(2) +
        Math.SQRT2 +
        Math.sin(2) +
        Math.cos(2) +
        Math.tan(2) +
        Math.atan(2) +
        Math.tanh(2) +
        2,
    ],
  ])("%s", (formula, want) => {
    expectDigits(evaluate(formula), want, 15);
  });

  test.each([
    ["2 +", "ends too early"],
    ["(2 * a", "expected )"],
    ["a b", "unexpected b"],
    ["sinh(a)", "unknown function sinh"],
    ["a $ 2", 'cannot read "$"'],
    ["x * 2", "no parameter"],
  ])("refuses %s", (formula, reason) => {
    expect(() => formulaModel(formula, { variables: ["x"] })).toThrow(reason);
  });

  test.each([
    ["a $ 2", 3],
    ["$ * x", 1],
    ["a * x * sinh(x)", 9],
  ])("says at which place %s fails", (formula, place) => {
    expect(() => formulaModel(formula, { variables: ["x"] })).toThrow(new RegExp(`at place ${place}$`));
  });

  test("repeats a short formula whole and a long one in part", () => {
    const long = `${"a + ".repeat(200)}$`;
    expect(() => formulaModel(long, { variables: ["x"] })).toThrow(`"${long.slice(0, 200)}..."`);
    expect(() => formulaModel("a $ x", { variables: ["x"] })).toThrow('"a $ x"');
  });

  test("refuses names that do not match", () => {
    expect(() => formulaModel("a * x + b", { variables: ["x"], parameters: ["a"] })).toThrow(/b is neither/);
    expect(() => formulaModel("a * x", { variables: ["x"], parameters: ["a", "c"] })).toThrow(
      /c does not appear/,
    );
  });
});

describe("formulaModel refuses what would exhaust it", () => {
  test.each([
    ["too long", `${"a + ".repeat(1000)}x`],
    ["brackets too deep", `${"(".repeat(300)}a * x${")".repeat(300)}`],
    ["signs too many", `${"-".repeat(300)}a * x`],
    ["powers too deep", `a${" ^ a".repeat(300)}`],
  ])("%s", (_, formula) => {
    expect(() => formulaModel(formula, { variables: ["x"] })).toThrow(
      /2000 characters|more than 100 brackets/,
    );
  });

  test("but takes 2000 characters, and not one more", () => {
    const formula = `a * x${" ".repeat(1995)}`;
    expect(formulaModel(formula, { variables: ["x"] }).predict([3], [2])).toBe(6);
    expect(() => formulaModel(`${formula} `, { variables: ["x"] })).toThrow(/2000 characters, got 2001/);
  });

  test("folds constants without spoiling what overflows", () => {
    expect(formulaModel("a * x * 2 ^ 2 ^ 3", { variables: ["x"] }).predict([1], [1])).toBe(256);
    expect(formulaModel("a * x + 0 * 10 ^ 999", { variables: ["x"] }).gradient([1], [5])[0]).toBe(5);
  });

  test("a product of hundreds of parameters is read", () => {
    const names = Array.from({ length: 150 }, (_, j) => `a${j}`);
    const model = formulaModel(`x * ${names.join(" * ")}`, { variables: ["x"] });
    const theta = names.map((_, j) => 1 + j / 1000);
    const product = theta.reduce((all, value) => all * value, 2);
    expectDigits(model.predict(theta, [2]), product, 12);
    expectDigits(model.gradient(theta, [2])[70]!, product / theta[70]!, 12);
  });
});

describe("formulaModel derives", () => {
  const formulas = [
    "a * exp(-b * x) + c",
    "a * x ^ b / (c + x ^ b)",
    "atan(a * x) * tanh(b) + sqrt(c + x)",
    "a ^ b + x ^ -c + abs(a - b * x)",
    "sin(a * x) * cos(b) + tan(c / (5 + x)) - log(a + b * x)",
    "(a - b) / (a + b * x) / c ^ 3",
  ];

  test.each(formulas)("%s as differences do", (formula) => {
    const model = formulaModel(formula, { variables: ["x"], parameters: ["a", "b", "c"] });
    const bare = { parameters: model.parameters, predict: model.predict };
    const positive = fc.double({ min: 0.3, max: 2, noNaN: true });
    fc.assert(
      fc.property(positive, positive, positive, positive, (a, b, c, x) => {
        fc.pre(Math.abs(a - b * x) > 0.1);
        const exact = parameterSlopes(model, [a, b, c], [[x]])[0]!;
        const numeric = parameterSlopes(bare, [a, b, c], [[x]])[0]!;
        const scale = Math.hypot(...exact) + 1;
        exact.forEach((value, j) => {
          expect(Math.abs(value - numeric[j]!)).toBeLessThan(1e-8 * scale);
        });
      }),
      { numRuns: 40 },
    );
  });

  test.each([
    ["a * exp(-b * x) + c", ["a", "c"]],
    ["a * b * x", ["a"]],
    ["(a + b * x) / (1 + c * x)", ["a", "b"]],
    ["a ^ 2 * x + b", ["b"]],
    ["exp(a * x)", []],
    ["c / a + b * x", ["c", "b"]],
  ])("linear parameters of %s", (formula, want) => {
    expect([...formulaModel(formula, { variables: ["x"] }).linearIn].sort()).toEqual([...want].sort());
  });
});
