import { describe, expect, test } from "vitest";
import {
  choleskyInPlace,
  choleskyInverse,
  choleskyLogDeterminant,
  choleskySolve,
  choleskyWithJitter,
  invertLower,
  randomStream,
  solveLower,
  solveLowerRows,
  solveLowerTransposed,
} from "../../../lib/numeric/index.js";
import { expectDigits } from "../../support/digits.js";
import { fc } from "../../support/properties.js";

/** Random positive definite matrices A = B B' + I. */
const positiveDefinite = fc.integer({ min: 1, max: 12 }).chain((n) =>
  fc.array(fc.double({ min: -2, max: 2, noNaN: true }), { minLength: n * n, maxLength: n * n }).map((b) => {
    const a = new Float64Array(n * n);
    for (let i = 0; i < n; i++) {
      for (let j = 0; j < n; j++) {
        let sum = i === j ? 1 : 0;
        for (let k = 0; k < n; k++) sum += b[i * n + k]! * b[j * n + k]!;
        a[i * n + j] = sum;
      }
    }
    return { a, n };
  }),
);

describe("Cholesky factor", () => {
  test("L L' gives the matrix back and the upper triangle is left alone", () => {
    fc.assert(
      fc.property(positiveDefinite, ({ a, n }) => {
        const l = a.slice();
        expect(choleskyInPlace(l, n)).toBe(true);
        for (let i = 0; i < n; i++) {
          for (let j = 0; j <= i; j++) {
            let sum = 0;
            for (let k = 0; k <= j; k++) sum += l[i * n + k]! * l[j * n + k]!;
            expect(Math.abs(sum - a[i * n + j]!)).toBeLessThan(1e-12 * a[i * n + i]! + 1e-12);
          }
          for (let j = i + 1; j < n; j++) expect(l[i * n + j]).toBe(a[i * n + j]);
        }
      }),
      { numRuns: 60 },
    );
  });

  test("solve, the two triangular solves and the inverse agree with A x = b", () => {
    fc.assert(
      fc.property(positiveDefinite, ({ a, n }) => {
        const l = a.slice();
        choleskyInPlace(l, n);
        const x = Float64Array.from({ length: n }, (_, i) => i - 2.5);
        const b = x.map((_, i) => x.reduce((sum, value, j) => sum + a[i * n + j]! * value, 0));
        const solved = b.slice();
        choleskySolve(l, n, solved);
        const stepwise = b.slice();
        solveLower(l, n, stepwise);
        solveLowerTransposed(l, n, stepwise);
        const inverse = new Float64Array(n * n);
        choleskyInverse(l, n, inverse);
        for (let i = 0; i < n; i++) {
          expect(Math.abs(solved[i]! - x[i]!)).toBeLessThan(1e-9);
          expect(stepwise[i]).toBe(solved[i]);
          const byInverse = b.reduce((sum, value, j) => sum + inverse[i * n + j]! * value, 0);
          expect(Math.abs(byInverse - x[i]!)).toBeLessThan(1e-9);
          for (let j = 0; j < i; j++) expect(inverse[i * n + j]).toBe(inverse[j * n + i]);
        }
      }),
      { numRuns: 60 },
    );
  });

  test("many right-hand sides at once are the same as one by one", () => {
    fc.assert(
      fc.property(positiveDefinite, fc.integer({ min: 1, max: 9 }), ({ a, n }, count) => {
        const l = a.slice();
        choleskyInPlace(l, n);
        const many = Float64Array.from({ length: n * count }, (_, i) => Math.sin(i + 1));
        const single = many.slice();
        solveLowerRows(l, n, many, count);
        for (let r = 0; r < count; r++) {
          const b = single.slice(r * n, (r + 1) * n);
          solveLower(l, n, b);
          b.forEach((value, i) => {
            expect(Math.abs(many[r * n + i]! - value)).toBeLessThan(1e-12 * (1 + Math.abs(value)));
          });
        }
      }),
      { numRuns: 40 },
    );
  });

  // Hilbert matrix of order 5: determinant 1/266716800000, an exact rational (recomputed by hand from
  // its closed form with superfactorials).
  test("log determinant of the Hilbert matrix of order 5", () => {
    const hilbert = Float64Array.from({ length: 25 }, (_, k) => 1 / (Math.floor(k / 5) + (k % 5) + 1));
    choleskyInPlace(hilbert, 5);
    expectDigits(choleskyLogDeterminant(hilbert, 5), -Math.log(266716800000), 11);
  });

  test("an indefinite matrix is refused, a singular one is mended by the least jitter that works", () => {
    const indefinite = Float64Array.of(1, 2, 2, 1);
    expect(choleskyInPlace(indefinite.slice(), 2)).toBe(false);
    expect(choleskyWithJitter(indefinite, new Float64Array(4), 2)).toBeNaN();

    const ones = new Float64Array(16).fill(1);
    const l = new Float64Array(16);
    const jitter = choleskyWithJitter(ones, l, 4);
    expect(jitter).toBeGreaterThan(0);
    expect(jitter).toBeLessThan(1e-10);
    expect(ones.every((value) => value === 1)).toBe(true);
    expect(choleskyWithJitter(Float64Array.of(4, 0, 0, 9), new Float64Array(4), 2)).toBe(0);
  });
});

test("the inverse of a factor times the factor is the identity, for sizes around the tile", () => {
  for (const n of [1, 3, 4, 5, 11]) {
    const random = randomStream(n);
    const a = new Float64Array(n * n);
    for (let i = 0; i < n; i++) for (let j = 0; j <= i; j++) a[i * n + j] = i === j ? n + 1 : random.normal();
    choleskyInPlace(a, n);
    const inverse = invertLower(a, n);
    for (let i = 0; i < n; i++) {
      for (let j = 0; j < n; j++) {
        let sum = 0;
        for (let k = j; k <= i; k++) sum += inverse[i * n + k]! * a[k * n + j]!;
        expect(Math.abs(sum - (i === j ? 1 : 0))).toBeLessThan(1e-13);
        if (j > i) expect(inverse[i * n + j]).toBe(0);
      }
    }
  }
});
