import { expect, test } from "vitest";
import { innerProduct, shifted, type Tridiagonal, tridiagonal } from "../../../lib/numeric/matrices/index.js";
import { expectDigits } from "../../support/digits.js";
import { fc } from "../../support/properties.js";

/** R 4.2.2: A <- outer(1:5, 1:5, function(i, j) 1 / (i + j - 1)); y <- c(3, -1, 4, 1, -5); s as below. */
const hilbert = Float64Array.from({ length: 25 }, (_, k) => 1 / (Math.floor(k / 5) + (k % 5) + 1));
const y = Float64Array.of(3, -1, 4, 1, -5);

/** ln |A + s I| + y' (A + s I)^-1 y */
function deviance(turning: Tridiagonal, y: Float64Array, s: number): number {
  const { logDeterminant, half } = shifted(turning, s);
  const own = half(turning.turn(y));
  return logDeterminant + innerProduct(own, own);
}

test.each([
  // determinant(A + s * diag(5))$modulus + y %*% solve(A + s * diag(5), y), printed with digits = 15
  [0.001, 30509.6766773345],
  [0.1, 427.44285310298],
  [10, 16.7963075914127],
])("deviance of the Hilbert matrix with %d on its diagonal, by R", (s, expected) => {
  const turning = tridiagonal(hilbert.slice(), 5);
  expectDigits(deviance(turning, y, s), expected, 11);
});

test("a matrix that is not positive definite is told by an infinite determinant, until enough is added", () => {
  const turning = tridiagonal(Float64Array.of(1, 0, 2, 1), 2);
  const at = (s: number): number => shifted(turning, s).logDeterminant;
  expect(at(0)).toBe(Number.POSITIVE_INFINITY);
  expect(at(0.999)).toBe(Number.POSITIVE_INFINITY);
  expect(Number.isFinite(at(1.001))).toBe(true);
});

test("a column of numbers too small to square leaves the rest as it is", () => {
  const { turn, below } = tridiagonal(Float64Array.of(2, 0, 0, 3e-162, 3, 0, -2e-162, 1, 4), 3);
  const turned = turn(Float64Array.of(1, 2e-4, 4e-4));
  expectDigits(
    turned.reduce((sum, one) => sum + one ** 2, -1),
    2e-7,
    8,
  );
  expect(Math.abs(below[0]!)).toBeLessThan(1e-140);
});

test("trace, length of the matrix and length of the vector stay as they were", () => {
  const sized = fc.integer({ min: 1, max: 12 }).chain((n) => {
    const numbers = (length: number) =>
      fc.array(fc.double({ min: -10, max: 10, noNaN: true }), { minLength: length, maxLength: length });
    return fc.record({ n: fc.constant(n), a: numbers(n * n), b: numbers(n) });
  });
  fc.assert(
    fc.property(sized, ({ n, a, b }) => {
      const full = Array.from({ length: n }, (_, i) =>
        Array.from({ length: n }, (_unused, j) => a[Math.max(i, j) * n + Math.min(i, j)]!),
      );
      const { diagonal, below, turn } = tridiagonal(Float64Array.from(full.flat()), n);
      const turned = turn(Float64Array.from(b));
      // Turned by the same reflections whichever vector comes before it.
      turn(turned);
      expect(turn(Float64Array.from(b))).toEqual(turned);
      const squares = (values: Iterable<number>): number =>
        [...values].reduce((sum, one) => sum + one ** 2, 0);
      const trace = full.reduce((sum, row, i) => sum + row[i]!, 0);
      expect(diagonal.reduce((sum, one) => sum + one, 0)).toBeCloseTo(trace, 9);
      expect(squares(diagonal) + 2 * squares(below.subarray(0, n - 1))).toBeCloseTo(squares(full.flat()), 7);
      expect(squares(turned)).toBeCloseTo(squares(b), 7);
    }),
  );
});
