import { describe, expect, test } from "vitest";
import { type Basis, basisOf, type ModelOrder } from "../../../lib/design/model/index.js";
import { makeAxes } from "../../../lib/design/region/index.js";
import { expectDigits } from "../../support/digits.js";
import { fc } from "../../support/properties.js";
import { determinant } from "../coded.js";

const numeric = (name: string) => ({ name, unit: "mm", low: 2, high: 6, step: 1 });
const category = (name: string, levels: readonly string[]) => ({
  name,
  unit: "1",
  kind: "category" as const,
  levels,
});

/** The model's columns at a coded row. */
function columnsAt(basis: Basis, row: readonly number[]): number[] {
  const out = new Float64Array(basis.size * basis.copies);
  basis.fill(row, out);
  return [...out];
}

describe("columns of a model", () => {
  // R 4.2.2: model.matrix(~ x*c + I(x^2), expand.grid(x = c(-1,0,1), c = factor(c("a","b","c"))),
  // contrasts = list(c = contr.sum)); its columns are 1, x, c1, c2, x^2, x:c1, x:c2.
  test("are those of R's model.matrix with contr.sum, for a number and a category of three levels", () => {
    const basis = basisOf(makeAxes([numeric("x"), category("c", ["a", "b", "c"])]), "quadratic");
    const fromR = [
      [1, -1, 1, 0, 1, -1, 0],
      [1, 0, 1, 0, 0, 0, 0],
      [1, 1, 1, 0, 1, 1, 0],
      [1, -1, 0, 1, 1, 0, -1],
      [1, 0, 0, 1, 0, 0, 0],
      [1, 1, 0, 1, 1, 0, 1],
      [1, -1, -1, -1, 1, 1, 1],
      [1, 0, -1, -1, 0, 0, 0],
      [1, 1, -1, -1, 1, -1, -1],
    ];
    const order = ["mean", "x", "c[a]", "c[b]", "x squared", "x x c[a]", "x x c[b]"];
    expect([...basis.names].sort()).toEqual([...order].sort());
    for (const [i, expected] of fromR.entries()) {
      const got = columnsAt(basis, [(i % 3) - 1, Math.floor(i / 3)]);
      expect(order.map((name) => got[basis.names.indexOf(name)]! + 0)).toEqual(expected);
    }
  });

  // 1 + k, 1 + k + k(k-1)/2 and (k+1)(k+2)/2: Myers, Montgomery and Anderson-Cook, Response Surface Methodology.
  test.each([
    ["linear", 5],
    ["interaction", 11],
    ["quadratic", 15],
  ] as const)("of four numbers, %s: %i", (order: ModelOrder, count) => {
    expect(basisOf(makeAxes(["a", "b", "c", "d"].map(numeric)), order).size).toBe(count);
  });

  test("of a number with two levels hold no square, which would repeat the mean", () => {
    const two = { name: "b", unit: "mm", kind: "discrete" as const, levels: [1, 2] };
    const { names } = basisOf(makeAxes([numeric("a"), two]), "quadratic");
    expect(names).toContain("a squared");
    expect(names).not.toContain("b squared");
  });

  test("of blocks are added after the others and sum to zero over the blocks", () => {
    const basis = basisOf(makeAxes([numeric("a")]), "linear", 3);
    const rows = [0, 1, 2].map((block) => columnsAt(basis, [0.5, block]));
    expect(rows.map((row) => row.slice(0, 2))).toEqual([
      [1, 0.5],
      [1, 0.5],
      [1, 0.5],
    ]);
    expect([2, 3].map((c) => rows.reduce((sum, row) => sum + row[c]!, 0))).toEqual([0, 0]);
    expect(determinant(rows.map((row) => [1, ...row.slice(2)]))).not.toBe(0);
  });

  // The gradient of a exp(-b t) is (exp(-b t), -a t exp(-b t)); t = 5 mm is coded 0.5 between 2 and 6.
  test("of a nonlinear model are its gradient in the parameters, at every row of them", () => {
    const model = {
      predict: ({ t }: Readonly<Record<string, number | string>>, [a, b]: readonly number[]) =>
        a! * Math.exp(-b! * Number(t)),
      parameters: [
        [3, 0.2],
        [40, 0.05],
      ],
    };
    const basis = basisOf(makeAxes([numeric("t")]), model);
    const got = columnsAt(basis, [0.5]);
    const expected = model.parameters.flatMap(([a, b]) => [Math.exp(-5 * b!), -5 * a! * Math.exp(-5 * b!)]);
    for (const [i, value] of expected.entries()) expectDigits(got[i]!, value, 8, `entry ${i}`);
  });

  test.each([[[]], [[[]]], [[[1, 2], [1]]], [[[1, Number.NaN]]]])(
    "of a nonlinear model with parameters %j are refused",
    (parameters) => {
      expect(() => basisOf(makeAxes([numeric("t")]), { predict: () => 1, parameters })).toThrow(
        "at least one row of parameters, all rows finite and equally long",
      );
    },
  );
});

describe("effects of the terms", () => {
  const axes = makeAxes([numeric("x"), numeric("z"), category("c", ["a", "b", "d"])]);
  const basis = basisOf(axes, "quadratic");
  const coefficients = fc.array(fc.double({ min: -9, max: 9, noNaN: true }), {
    minLength: basis.size,
    maxLength: basis.size,
  });
  const response = (beta: readonly number[], row: readonly number[]): number =>
    columnsAt(basis, row).reduce((sum, value, i) => sum + value * beta[i]!, 0);
  const effectsOf = (name: string, beta: readonly number[]): number[] => {
    const { columns, effects } = basis.groups.find((group) => group.name === name)!;
    return effects.map(({ contrast }) => contrast.reduce((sum, c, i) => sum + c * beta[columns[i]!]!, 0));
  };
  const close = (got: readonly number[], expected: readonly number[]): void => {
    expect(got).toHaveLength(expected.length);
    for (const [i, value] of expected.entries()) expect(got[i]).toBeCloseTo(value, 9);
  };
  const pairs = [
    [0, 1],
    [0, 2],
    [1, 2],
  ] as const;

  test("are the changes of the response they are said to be, whatever the coefficients", () => {
    fc.assert(
      fc.property(coefficients, (beta) => {
        const y = (...row: readonly number[]): number => response(beta, row);
        /** A response averaged over the levels of c. */
        const over = (x: number, z: number): number => (y(x, z, 0) + y(x, z, 1) + y(x, z, 2)) / 3;
        close(effectsOf("x", beta), [over(1, 0) - over(-1, 0)]);
        close(effectsOf("z squared", beta), [(over(0, 1) + over(0, -1)) / 2 - over(0, 0)]);
        close(effectsOf("x x z", beta), [(over(1, 1) - over(-1, 1) - over(1, -1) + over(-1, -1)) / 2]);
        close(
          effectsOf("c", beta),
          pairs.map(([up, down]) => y(0, 0, up) - y(0, 0, down)),
        );
        close(
          effectsOf("x x c", beta),
          pairs.map(([up, down]) => (y(1, 0, up) - y(-1, 0, up) - (y(1, 0, down) - y(-1, 0, down))) / 2),
        );
      }),
    );
  });

  test("come to 2 with the coefficients of their pattern", () => {
    for (const { columns, effects } of basis.groups) {
      for (const { pattern, contrast } of effects) {
        expect(pattern).toHaveLength(columns.length);
        expect(pattern.reduce((sum, value, i) => sum + value * contrast[i]!, 0)).toBe(2);
      }
    }
  });
});
