import { describe, expect, test } from "vitest";
import { BeadbenchError } from "../../../lib/errors/index.js";
import {
  coefficientCovariance,
  coefficientsOf,
  conditionNumber,
  designBasis,
  directionOf,
  solvePenalised,
  varianceInflation,
  weakDirections,
} from "../../../lib/regression/common/index.js";
import { expectDigits } from "../../support/digits.js";
import { readFixture } from "../../support/fixture.js";
import { fc } from "../../support/properties.js";
import { distance, rows, speed } from "./stopping-distances.js";

describe("collinearity", () => {
  const { problems } = readFixture<{ problems: { name: string; x: number[][] }[] }>(
    import.meta.url,
    "../fixtures/nist-linear.json",
  );
  const longley = problems.find(({ name }) => name === "Longley")!.x.map((row) => [1, ...row]);

  test("Longley's economy is told as R tells it, in whatever units it is written", () => {
    // R 4: u <- columns of cbind(1, longley[, 1:6]) at unit length; svd(u)$d; diag(solve(cor(longley[, 1:6]))).
    const inflation = [
      135.53243827997952, 1788.5134827175184, 33.61889059603912, 3.5889301934453663, 399.1510223125065,
      758.9805974067848,
    ];
    const scale = fc.double({ min: 1e-6, max: 1e6, noNaN: true });
    fc.assert(
      fc.property(fc.array(scale, { minLength: 7, maxLength: 7 }), (scales) => {
        const units = longley.map((row) => row.map((value, j) => value * scales[j]!));
        expectDigits(conditionNumber(units), 43275.04358717992, 8);
        const [constant, ...rest] = varianceInflation(units);
        expect(constant).toBe(1);
        rest.forEach((value, j) => {
          expectDigits(value, inflation[j]!, 8);
        });
      }),
      { numRuns: 20 },
    );
  });

  test("columns at right angles cost nothing; one told twice costs everything and is named", () => {
    const square = [
      [1, -1, -1],
      [1, -1, 1],
      [1, 1, -1],
      [1, 1, 1],
    ];
    expect(varianceInflation(square)).toEqual([1, 1, 1]);
    expect(weakDirections(square, ["one", "x", "y"])).toEqual([]);
    const twice = square.map((row) => [...row, 3 * row[1]!]);
    expect(conditionNumber(twice)).toBe(Number.MAX_VALUE);
    const [weak, ...more] = weakDirections(twice, ["one", "x", "y", "z"]);
    expect(more).toEqual([]);
    expect(weak!.sentence).toMatch(/^x and z can hardly be told apart: /);
    expect(weak!.loadings[1]! * weak!.loadings[3]!).toBeCloseTo(-1, 12);
    expect(() => conditionNumber([])).toThrow(BeadbenchError);
    expect(() => conditionNumber([[]])).toThrow(BeadbenchError);
  });
});

describe("orthonormal coordinates of a design", () => {
  const cell = fc.integer({ min: -9, max: 9 });
  const design = fc.array(fc.tuple(cell, cell, cell), { minLength: 4, maxLength: 9 });

  test("span what the columns span, with lengths and angles of their own; beta and its variance come back", () => {
    fc.assert(
      fc.property(design, fc.tuple(cell, cell, cell), (x, combination) => {
        const basis = designBasis(x, ["u", "v", "w"]);
        const { rank, q } = basis;
        const column = (k: number) => x.map((_, i) => q[i * rank + k]!);
        for (let k = 0; k < rank; k++)
          for (let m = 0; m < rank; m++) {
            const product = column(k).reduce((sum, value, i) => sum + value * column(m)[i]!, 0);
            expect(product).toBeCloseTo(k === m ? 1 : 0, 12);
          }
        // Any point of Q is the same point of X: Q gamma = X (B gamma).
        const gamma = Float64Array.from({ length: rank }, (_, k) => 1 + k);
        const beta = coefficientsOf(basis, gamma);
        const direction = directionOf(basis, combination);
        x.forEach((row, i) => {
          const own = row.reduce((sum, value, j) => sum + value * beta[j]!, 0);
          const other = gamma.reduce((sum, value, k) => sum + value * q[i * rank + k]!, 0);
          expect(own).toBeCloseTo(other, 9);
        });
        const product = (a: ArrayLike<number>, b: ArrayLike<number>) =>
          Array.from(a).reduce((sum, value, i) => sum + value * b[i]!, 0);
        const scale = 1 + Math.max(...beta.map(Math.abs));
        expect(product(direction, gamma) / scale).toBeCloseTo(product(combination, beta) / scale, 9);
      }),
    );
  });

  test("the covariance of coefficients is (X'X)^-1 and the determinant that of X'X, as R has them", () => {
    // R 4: X <- cbind(1, cars$speed); log(det(crossprod(X))). By hand: (X'X)^-1 of n, sum x, sum x^2.
    const basis = designBasis(rows, ["a", "b"]);
    expectDigits(basis.logGram, 11.134589024250316, 12);
    const [n, s, ss] = [50, speed.reduce((a, b) => a + b), speed.reduce((a, b) => a + b * b, 0)];
    const det = n * ss - s * s;
    const inverse = coefficientCovariance(basis, Float64Array.from([1, 0, 0, 1]));
    [
      [ss, -s],
      [-s, n],
    ].forEach((row, i) => {
      row.forEach((value, j) => {
        expectDigits(inverse[i]![j]!, value / det, 11);
      });
    });
  });

  test("a column others already hold is named as what it is made of", () => {
    fc.assert(
      fc.property(fc.integer({ min: -4, max: 4 }), fc.integer({ min: 1, max: 4 }), (p, q) => {
        const x = [1, 2, 4, 7, 11, 16].map((t, i) => [1, t, p + q * t, (i % 2) - 0.3 * t * t]);
        const { rank, aliased } = designBasis(x, ["one", "t", "made", "free"]);
        expect(rank).toBe(3);
        expect(aliased).toHaveLength(1);
        const [{ term, coefficients }] = aliased as [(typeof aliased)[0]];
        const own = ["one", "t", "made", "free"].indexOf(term);
        for (const row of x) {
          const sum = row.reduce((total, value, j) => total + value * coefficients[j]!, 0);
          expect(sum).toBeCloseTo(row[own]!, 9);
        }
        expect(coefficients[own]).toBe(0);
      }),
    );
    const [alias] = designBasis(
      [
        [1, 2],
        [2, 4],
        [3, 6],
      ],
      ["x", "y"],
    ).aliased;
    expect(["y = 2 x", "x = 0.5 y"]).toContain(alias!.relation);
  });
});

test("least squares with a pull on a coefficient is that of the rows R is given for it", () => {
  // R 4: A <- rbind(cbind(1, cars$speed), diag(c(0, 3))); lm.fit(A, c(cars$dist, 0, 6)); solve(crossprod(A)).
  const solution = solvePenalised({
    x: Float64Array.from([...rows.map(() => 1), ...speed]),
    y: Float64Array.from(distance),
    columns: 2,
    penalty: { weights: Float64Array.from([0, 3]), centres: Float64Array.from([0, 2]) },
    rankTolerance: undefined,
  });
  expectDigits(solution.coefficients[0]!, -17.384873096446693, 12);
  expectDigits(solution.coefficients[1]!, 3.9197969543147209, 12);
  [0.19197969543147217, -0.011167512690355335, -0.011167512690355333, 0.0007251631617113853].forEach(
    (value, i) => {
      expectDigits(solution.inverse[i]!, value, 11);
    },
  );
  expectDigits(solution.rss, 11353.738960035042, 12);
  expectDigits(solution.leverage[0]!, 0.11424220449601177, 11);
  expectDigits(solution.leverage[49]!, 0.08683103698332126, 11);
});
