import { describe, expect, test } from "vitest";
import { findRoot, minimiseScalar, scaleUntil } from "../../../lib/numeric/index.js";
import { expectDigits } from "../../support/digits.js";
import { fc } from "../../support/properties.js";

describe("findRoot", () => {
  // Roots with closed forms, or known to many digits: Dottie number, OEIS A003957; Lambert W(1), A030178.
  test.each([
    ["cos x - x", (x: number) => Math.cos(x) - x, 0, 2, 0.7390851332151607],
    ["x e^x - 1", (x: number) => x * Math.exp(x) - 1, -1, 5, 0.5671432904097838],
    ["x^9 (flat)", (x: number) => (x - 0.3) ** 9, -1, 4, 0.3],
    ["steep", (x: number) => Math.atan(1e6 * (x - 2 / 3)), -10, 10, 2 / 3],
  ])("%s", (_, f, lower, upper, root) => {
    const end = findRoot({ f, lower, upper });
    expect(end.converged).toBe(true);
    expectDigits(end.x, root, root === 0.3 ? 4 : 14);
    expect(end.evaluations).toBeLessThan(160);
  });

  test("stays between its ends whatever the function", () => {
    fc.assert(
      fc.property(
        fc.double({ min: 0.01, max: 0.99, noNaN: true }),
        fc.integer({ min: 1, max: 40 }),
        (root, steep) => {
          const end = findRoot({ f: (x) => Math.tanh(steep * (x - root)), lower: 0, upper: 1 });
          expect(Math.abs(end.x - root)).toBeLessThan(1e-14);
        },
      ),
    );
  });

  test("refuses ends of the same sign", () => {
    expect(() => findRoot({ f: (x) => x * x + 1, lower: -1, upper: 1 })).toThrow(
      "must change sign between -1 (2) and 1 (2)",
    );
  });
});

describe("minimiseScalar", () => {
  test.each([
    ["parabola", (x: number) => (x - 1 / 3) ** 2 + 2, -5, 9, 1 / 3],
    ["x ln x", (x: number) => x * Math.log(x), 0.01, 4, Math.exp(-1)],
    ["sharp corner", (x: number) => Math.abs(x - 0.7), -1, 4, 0.7],
    ["at the end of the range", (x: number) => x, 2, 3, 2],
  ])("%s", (_, f, lower, upper, minimum) => {
    const end = minimiseScalar({ f, lower, upper });
    expect(end.converged).toBe(true);
    expect(Math.abs(end.x - minimum)).toBeLessThan(1e-7);
  });

  test("refuses crossed ends", () => {
    expect(() => minimiseScalar({ f: (x) => x, lower: 1, upper: 1 })).toThrow("lower must be below upper");
  });
});

describe("scaleUntil", () => {
  test("gives the first of the row at which the test holds, upwards and downwards", () => {
    expect(scaleUntil({ what: "x", x: 3, factor: 2, holds: (x) => x > 20 })).toBe(24);
    expect(scaleUntil({ what: "x", x: 3, factor: 0.5, holds: (x) => x < 1 })).toBe(0.75);
    expect(scaleUntil({ what: "x", x: 3, factor: 2, holds: () => true })).toBe(3);
  });

  test("ends, and says what was sought, where nothing holds", () => {
    expect(() => scaleUntil({ what: "rate", x: 1, factor: 2, holds: () => false })).toThrow(/rate/);
  });
});
