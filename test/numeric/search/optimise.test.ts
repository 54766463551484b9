import { describe, expect, test } from "vitest";
import { minimiseBounded } from "../../../lib/numeric/index.js";
import { expectDigits } from "../../support/digits.js";
import { readFixture } from "../../support/fixture.js";
import { fc } from "../../support/properties.js";

interface Case {
  readonly start: number[];
  readonly lower: (number | null)[];
  readonly upper: (number | null)[];
  readonly x: number[];
  readonly value: number;
}
const reference = readFixture<{ rosenbrock: Case[] }>(import.meta.url, "fixtures/optimise.json");

function rosenbrock(x: Float64Array, gradient: Float64Array): number {
  gradient.fill(0);
  let sum = 0;
  for (let i = 0; i + 1 < x.length; i++) {
    const a = x[i + 1]! - x[i]! ** 2;
    const b = 1 - x[i]!;
    sum += 100 * a * a + b * b;
    gradient[i]! += -400 * a * x[i]! - 2 * b;
    gradient[i + 1]! += 200 * a;
  }
  return sum;
}

describe("minimiseBounded", () => {
  test.each(reference.rosenbrock)("Rosenbrock's valley from $start in its box, as SciPy", (entry) => {
    const end = minimiseBounded(rosenbrock, entry.start, {
      lower: entry.lower.map((low) => low ?? Number.NEGATIVE_INFINITY),
      upper: entry.upper.map((high) => high ?? Number.POSITIVE_INFINITY),
      gradientTolerance: 1e-9,
    });
    expect(end.status).toBe("converged");
    end.x.forEach((value, i) => {
      expectDigits(value, entry.x[i]!, 6, `x${i}`);
    });
    expect(end.value).toBeLessThanOrEqual(entry.value * (1 + 1e-9) + 1e-15);
    expect(end.evaluations).toBeLessThan(150);
  });

  test("quadratics in a box: the gradient at the end points out of the box or vanishes", () => {
    const dimension = 4;
    const vector = fc.array(fc.double({ min: -3, max: 3, noNaN: true }), { minLength: 4, maxLength: 4 });
    fc.assert(
      fc.property(
        vector,
        vector,
        fc.array(vector, { minLength: 4, maxLength: 4 }),
        (centre, start, factor) => {
          const curvature = (i: number, j: number): number =>
            factor.reduce((sum, row) => sum + row[i]! * row[j]!, i === j ? 0.5 : 0);
          const f = (x: Float64Array, gradient: Float64Array): number => {
            let sum = 0;
            for (let i = 0; i < dimension; i++) {
              gradient[i] = 0;
              for (let j = 0; j < dimension; j++) gradient[i]! += curvature(i, j) * (x[j]! - centre[j]!);
              sum += 0.5 * gradient[i]! * (x[i]! - centre[i]!);
            }
            return sum;
          };
          const lower = [-1, -1, -1, -1];
          const upper = [1, 1, 1, 1];
          const end = minimiseBounded(f, start, { lower, upper });
          expect(end.status).toBe("converged");
          const gradient = new Float64Array(dimension);
          f(Float64Array.from(end.x), gradient);
          end.x.forEach((value, i) => {
            expect(Math.abs(value)).toBeLessThanOrEqual(1);
            if (Math.abs(value) < 1 - 1e-7) expect(Math.abs(gradient[i]!)).toBeLessThan(1e-4);
            else expect(gradient[i]! * value).toBeLessThanOrEqual(1e-4);
          });
        },
      ),
      { numRuns: 60 },
    );
  });

  test("the Hessian of a quadratic leads to its minimum in one step", () => {
    const f = (x: Float64Array, gradient: Float64Array): number => {
      gradient[0] = 200 * x[0]! + x[1]! - 3;
      gradient[1] = x[0]! + 2 * x[1]! + 1;
      return 100 * x[0]! ** 2 + x[0]! * x[1]! + x[1]! ** 2 - 3 * x[0]! + x[1]!;
    };
    const free = { lower: [-9, -9], upper: [9, 9] };
    const end = minimiseBounded(f, [5, 5], { ...free, hessian: Float64Array.of(200, 1, 1, 2) });
    expect(end.evaluations).toBe(2);
    expectDigits(end.x[0]!, 7 / 399, 9);
    expectDigits(end.x[1]!, -203 / 399, 9);
  });

  test("a wall of NaN is backed away from; a start inside it is reported", () => {
    const f = (x: Float64Array, gradient: Float64Array): number => {
      gradient[0] = 1 - 1 / x[0]!;
      return x[0]! > 0 ? x[0]! - Math.log(x[0]!) : Number.NaN;
    };
    const free = { lower: [Number.NEGATIVE_INFINITY], upper: [Number.POSITIVE_INFINITY] };
    expectDigits(minimiseBounded(f, [20], free).x[0]!, 1, 6);
    expect(minimiseBounded(f, [-1], free).status).toBe("non-finite");
    expect(() => minimiseBounded(f, [1], { lower: [2], upper: [1] })).toThrow("lower <= upper");
  });
});
