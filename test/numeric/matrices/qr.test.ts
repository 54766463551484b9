import { describe, expect, test } from "vitest";
import {
  applyQ,
  applyQTransposed,
  factorQr,
  inverseGram,
  leverages,
  refineLeastSquares,
  singularSystem,
  solveLeastSquares,
  solveNonnegative,
} from "../../../lib/numeric/index.js";
import { expectDigits } from "../../support/digits.js";
import { fc } from "../../support/properties.js";

const entry = fc.double({ min: -10, max: 10, noNaN: true });
const matrix = fc
  .tuple(fc.integer({ min: 3, max: 8 }), fc.integer({ min: 1, max: 3 }))
  .chain(([rows, columns]) =>
    fc.record({
      rows: fc.constant(rows),
      columns: fc.constant(columns),
      values: fc.array(entry, { minLength: rows * columns, maxLength: rows * columns }),
      y: fc.array(entry, { minLength: rows, maxLength: rows }),
    }),
  );

describe("factorQr", () => {
  test("Q R gives back the columns in pivoted order", () => {
    fc.assert(
      fc.property(matrix, ({ rows, columns, values }) => {
        const factor = factorQr({ values: Float64Array.from(values), rows, columns });
        for (let k = 0; k < columns; k++) {
          const column = new Float64Array(rows);
          for (let i = 0; i < k; i++) column[i] = factor.values[k * rows + i]!;
          column[k] = factor.diagonal[k]!;
          applyQ(factor, column);
          for (let i = 0; i < rows; i++) {
            expect(Math.abs(column[i]! - values[factor.pivots[k]! * rows + i]!)).toBeLessThan(1e-13 * 100);
          }
        }
      }),
    );
  });

  test("Q' undoes Q and keeps lengths", () => {
    fc.assert(
      fc.property(matrix, ({ rows, columns, values, y }) => {
        const factor = factorQr({ values: Float64Array.from(values), rows, columns });
        const turned = Float64Array.from(y);
        applyQ(factor, turned);
        expect(Math.abs(Math.hypot(...turned) - Math.hypot(...y))).toBeLessThan(1e-12);
        applyQTransposed(factor, turned);
        y.forEach((value, i) => {
          expect(Math.abs(turned[i]! - value)).toBeLessThan(1e-12);
        });
      }),
    );
  });

  test("finds the rank of dependent columns", () => {
    const a = Float64Array.from([1, 2, 3, 4, 0, 1, 0, 1, 2, 5, 6, 9, 0, 0, 0, 0]);
    expect(factorQr({ values: a, rows: 4, columns: 4 }).rank).toBe(2);
  });

  test("survives lengths whose squares over- or underflow", () => {
    const tiny = factorQr({ values: Float64Array.from([3e-200, 4e-200]), rows: 2, columns: 1 });
    const huge = factorQr({ values: Float64Array.from([3e200, 4e200]), rows: 2, columns: 1 });
    expectDigits(Math.abs(tiny.diagonal[0]!), 5e-200, 15);
    expectDigits(Math.abs(huge.diagonal[0]!), 5e200, 15);
  });
});

describe("least squares", () => {
  test("leave residuals at right angles to every column", () => {
    fc.assert(
      fc.property(matrix, ({ rows, columns, values, y }) => {
        const a = Float64Array.from(values);
        const factor = factorQr({ values: Float64Array.from(a), rows, columns });
        fc.pre(factor.rank === columns && Math.abs(factor.diagonal[columns - 1]!) > 1e-6);
        const x = solveLeastSquares(factor, Float64Array.from(y));
        const scale = 1 + Math.hypot(...x);
        for (let j = 0; j < columns; j++) {
          let dot = 0;
          for (let i = 0; i < rows; i++) {
            let r = y[i]!;
            for (let k = 0; k < columns; k++) r -= x[k]! * a[k * rows + i]!;
            dot += r * a[j * rows + i]!;
          }
          expect(Math.abs(dot)).toBeLessThan(1e-10 * scale);
        }
      }),
    );
  });

  /** Lauchli's matrix [1 1; e 0; 0 e], y = [2; e; e]: exactly x = (1, 1), though A'A is singular in doubles. */
  test("solve Lauchli's matrix where normal equations fail", () => {
    const e = 1e-9;
    const a = Float64Array.from([1, e, 0, 1, 0, e]);
    const y = Float64Array.from([2, e, e]);
    const { x, residuals } = refineLeastSquares({
      matrix: a,
      factor: factorQr({ values: Float64Array.from(a), rows: 3, columns: 2 }),
      y,
    });
    expectDigits(x[0]!, 1, 15);
    expectDigits(x[1]!, 1, 15);
    expect(Math.hypot(...residuals)).toBeLessThan(1e-16);
  });

  /** Columns of a Hilbert matrix (condition 5e8 for 6 x 6 here 8 x 6) with an exact integer solution. */
  test("refinement gains the digits that the condition number costs", () => {
    const [rows, columns] = [8, 6];
    const scale = 360360;
    const a = new Float64Array(rows * columns);
    for (let j = 0; j < columns; j++) for (let i = 0; i < rows; i++) a[j * rows + i] = scale / (i + j + 1);
    const y = new Float64Array(rows);
    for (let i = 0; i < rows; i++)
      for (let j = 0; j < columns; j++) y[i] = y[i]! + a[j * rows + i]! * (j + 1);
    const factor = factorQr({ values: Float64Array.from(a), rows, columns });
    const { x } = refineLeastSquares({ matrix: a, factor, y });
    for (let j = 0; j < columns; j++) expectDigits(x[j]!, j + 1, 14);
  });

  test("inverseGram is (A'A)^-1 and leverages sum to the rank", () => {
    const a = Float64Array.from([1, 1, 1, 1, -1, 0, 1, 2]);
    const factor = factorQr({ values: Float64Array.from(a), rows: 4, columns: 2 });
    const gram = inverseGram(factor);
    [
      [gram[0]!, 6 / 20],
      [gram[1]!, -2 / 20],
      [gram[3]!, 4 / 20],
    ].forEach(([got, want]) => {
      expectDigits(got!, want!, 14);
    });
    expectDigits(
      leverages(factor).reduce((sum, h) => sum + h, 0),
      2,
      14,
    );
  });
});

describe("singularSystem", () => {
  test("gives the singular values of a matrix made from them", () => {
    const [c, s] = [Math.cos(0.7), Math.sin(0.7)];
    const a = Float64Array.from([5 * c, 1e-9 * s, -5 * s, 1e-9 * c]);
    const { values, right } = singularSystem(a, 2, 2);
    expectDigits(values[0]!, 5, 15);
    expectDigits(values[1]!, 1e-9, 14);
    expectDigits(Math.abs(right[0]!), c, 14);
  });

  test("squares sum to the squared entries", () => {
    fc.assert(
      fc.property(matrix, ({ rows, columns, values }) => {
        const sum = values.reduce((total, value) => total + value * value, 0);
        const squares = singularSystem(Float64Array.from(values), rows, columns).values.reduce(
          (t, v) => t + v * v,
          0,
        );
        expect(Math.abs(sum - squares)).toBeLessThan(1e-10 * (1 + sum));
      }),
    );
  });
});

describe("solveNonnegative", () => {
  test("meets the conditions of Karush, Kuhn and Tucker", () => {
    fc.assert(
      fc.property(matrix, ({ rows, columns, values, y }) => {
        const a = Float64Array.from(values);
        const { x, residuals } = solveNonnegative({ matrix: a, rows, columns, y: Float64Array.from(y) });
        for (let j = 0; j < columns; j++) {
          let slope = 0;
          for (let i = 0; i < rows; i++) slope += a[j * rows + i]! * residuals[i]!;
          expect(x[j]!).toBeGreaterThanOrEqual(0);
          expect(slope).toBeLessThan(1e-8);
          if (x[j]! > 1e-8) expect(Math.abs(slope)).toBeLessThan(1e-7);
        }
      }),
    );
  });
});
