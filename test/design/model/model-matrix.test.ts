import { describe, expect, test } from "vitest";
import {
  addOuter,
  addSymmetricPair,
  covarianceOf,
  expressedIn,
  independentColumns,
  multiply,
  quadraticForm,
  sandwich,
  sparseDot,
  sparseQuadraticForm,
} from "../../../lib/design/model/index.js";
import { expectDigits } from "../../support/digits.js";
import { fc } from "../../support/properties.js";
import { crossProducts, determinant } from "../coded.js";

const floats = (values: readonly number[]): Float64Array => Float64Array.from(values);

describe("independentColumns", () => {
  const matrix = fc.array(fc.array(fc.integer({ min: -2, max: 2 }), { minLength: 6, maxLength: 6 }), {
    minLength: 1,
    maxLength: 6,
  });
  /** Determinant of X'X of whole-number columns: a whole number, 0 when they are dependent. */
  const gram = (columns: readonly (readonly number[])[]): number =>
    Math.round(determinant(crossProducts(columns[0]!.map((_, i) => columns.map((column) => column[i]!)))));

  test("keeps a column exactly when it is independent of those before it, and makes them orthonormal", () => {
    fc.assert(
      fc.property(matrix, (columns) => {
        const { orthonormal, kept, dependent } = independentColumns(columns.map(floats));
        for (const c of columns.keys()) {
          const before = kept.filter((k) => k < c);
          const independent = gram([...before, c].map((k) => columns[k]!)) !== 0;
          expect([kept.includes(c), dependent.includes(c)]).toEqual([independent, !independent]);
        }
        for (const [i, a] of orthonormal.entries()) {
          for (const [k, b] of orthonormal.entries()) {
            expectDigits(
              a.reduce((sum, x, r) => sum + x * b[r]!, 0),
              i === k ? 1 : 0,
              12.4,
            );
          }
        }
      }),
    );
  });
});

describe("covarianceOf", () => {
  const rows = [
    [1, -1, -1],
    [1, -1, 0.5],
    [1, -1, 1],
    [1, 1, -1],
    [1, 1, 1],
    [1, 0, 0],
    [1, 0, 0.25],
  ].map(floats);

  // R 4.2.2: V <- diag(7) + 1.5 * outer(plot, plot, "=="); M <- t(X) %*% solve(V) %*% X; solve(M); log(det(M))
  test("agrees with R where runs share whole plots", () => {
    const got = covarianceOf({ rows, plots: [1, 1, 1, 2, 2, 3, 3], varianceRatio: 1.5 })!;
    const [a, b, c] = [0.0262606143201595, -0.0230632141733934, 0.0197085648390816];
    const fromR = [0.6501205577104519, a, b, a, 0.9593772932173183, c, b, c, 0.2381801027361359];
    for (const [i, value] of fromR.entries()) expectDigits(got.matrix[i]!, value, 12, `entry ${i}`);
    expectDigits(got.logDeterminant, 1.91321840042722, 13, "log determinant");
  });

  test("does not ask which plot a run is in when plots share no variance, and halves when every run is doubled", () => {
    const plots = [1, 1, 1, 2, 2, 3, 3];
    const once = covarianceOf({ rows, plots, varianceRatio: 0 })!;
    const apart = covarianceOf({ rows, plots: [1, 2, 3, 4, 5, 6, 7], varianceRatio: 0 })!;
    const twice = covarianceOf({ rows: [...rows, ...rows], plots: [...plots, ...plots], varianceRatio: 0 })!;
    expect(apart).toEqual(once);
    for (const [i, value] of once.matrix.entries()) expectDigits(2 * twice.matrix[i]!, value, 12);
    expectDigits(twice.logDeterminant - once.logDeterminant, 3 * Math.log(2), 12);
  });

  test("is undefined where a column repeats others, or there are fewer runs than columns", () => {
    const sums = rows.map((row) => floats([...row, row[0]! + 2 * row[1]!]));
    const plots = rows.map((_, i) => i);
    expect(covarianceOf({ rows: sums, plots, varianceRatio: 0 })).toBeUndefined();
    expect(covarianceOf({ rows: rows.slice(0, 2), plots: [0, 1], varianceRatio: 0 })).toBeUndefined();
  });
});

describe("expressedIn", () => {
  // Box and Wilson's alias matrix (X1'X1)^-1 X1'X2, worked by hand: at -1, 0 and 1 a line takes x^2 for 2/3 of the mean
  // and x^3 for the whole of x.
  test("tells what a straight line takes a square and a cube for", () => {
    const x = [-1, 0, 1];
    const [square, cube] = expressedIn(
      x.map((v) => floats([1, v])),
      x.map((v) => floats([v ** 2, v ** 3])),
    );
    expectDigits(square![0]!, 2 / 3, 14.2);
    expectDigits(square![1]!, 0, 14.4);
    expectDigits(cube![0]!, 0, 14.4);
    expectDigits(cube![1]!, 1, 14.4);
  });
});

describe("products of small matrices", () => {
  test("give the figures worked by hand", () => {
    const s = floats([2, 1, 1, 3]);
    const out = new Float64Array(4);
    // (1, 2) S (1, 2)' = 2 + 2 * 2 + 3 * 4; S W = [1 2; 3 1], times S.
    expect(quadraticForm(s, 2, floats([1, 2]))).toBe(18);
    sandwich(s, floats([0, 1, 1, 0]), 2, new Float64Array(4), out);
    expect([...out]).toEqual([4, 7, 7, 6]);
    multiply(s, 2, floats([1, 2]), out);
    expect([...out.slice(0, 2)]).toEqual([4, 7]);
    const sum = floats([1, 0, 0, 1]);
    addOuter(sum, 2, floats([9, 1, 2]), 1, 3);
    expect([...sum]).toEqual([4, 6, 6, 13]);
    addSymmetricPair(sum, 2, floats([1, 0]), floats([2, 5]));
    expect([...sum]).toEqual([8, 11, 11, 13]);
  });

  test("are the same sum over all entries and over those that are not zero", () => {
    const p = 5;
    const whole = fc.integer({ min: -50, max: 50 });
    const vector = fc.array(whole, { minLength: p, maxLength: p }).map(floats);
    fc.assert(
      fc.property(vector, vector, fc.array(vector, { minLength: p, maxLength: p }), (g, a, roots) => {
        const s = new Float64Array(p * p);
        for (const root of roots) addOuter(s, p, root, 0, 1);
        const places = Int32Array.from([...g.keys()].filter((i) => g[i] !== 0));
        const byRoots = roots.reduce(
          (sum, root) => sum + root.reduce((inner, r, i) => inner + r * g[i]!, 0) ** 2,
          0,
        );
        expect(quadraticForm(s, p, g)).toBe(byRoots);
        expect(sparseQuadraticForm(s, p, g, places, places.length)).toBe(byRoots);
        expect(sparseDot(a, g, places, places.length)).toBe(a.reduce((sum, x, i) => sum + x * g[i]!, 0));
      }),
    );
  });
});
