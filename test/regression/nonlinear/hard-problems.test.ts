import { describe, expect, test } from "vitest";
import { randomStream } from "../../../lib/numeric/index.js";
import {
  fitLinear,
  fitNonlinear,
  formulaModel,
  type Model,
  requireConverged,
} from "../../../lib/regression/index.js";
import { expectDigits } from "../../support/digits.js";

const bare = ({ parameters, predict }: Model): Model => ({ parameters, predict });
const kinds = [
  ["as a formula", (model: Model) => model],
  ["as a bare function", bare],
] as const;

describe.each(kinds)("hard problems %s", (_, dress) => {
  /** Between two columns of 1 and 1 + 1e-4 i / 15 the condition number is some 1e5: hard, yet determined. */
  test("nearly collinear linear parameters come back, and right", () => {
    const x = Array.from({ length: 15 }, (_, i) => [1 + (1e-4 * i) / 15]);
    const model = dress(formulaModel("a + b * z", { variables: ["z"] }));
    for (let seed = 1; seed <= 8; seed++) {
      const random = randomStream(seed);
      const y = x.map(() => 2 + 0.1 * random.normal());
      const fit = requireConverged(fitNonlinear({ x, y }, model, { start: [1, 1] }));
      const want = fitLinear({ x: x.map(([z]) => [1, z!]), y }, { names: ["a", "b"] });
      expectDigits(fit.rss, want.rss, 9);
      fit.estimates.forEach((value, j) => {
        expect(Math.abs(value - want.estimates[j]!)).toBeLessThan(1e-4 * want.standardErrors[j]!);
      });
    }
  });

  test("the steps allowed are kept to", () => {
    const x = Array.from({ length: 15 }, (_, i) => [1 + (1e-4 * i) / 15]);
    const random = randomStream(3);
    const y = x.map(() => 2 + 0.1 * random.normal());
    const model = dress(formulaModel("a * exp(b * z) + c", { variables: ["z"] }));
    for (const maxIterations of [1, 5, 20]) {
      const fit = fitNonlinear({ x, y }, model, { start: [1, 1, 1], maxIterations, starts: 0 });
      // A last look at the point reached is allowed beyond the steps.
      expect(fit.certificate.iterations).toBeLessThanOrEqual(maxIterations + 1);
    }
  });

  test.each([
    [1, 1],
    [4, 0.1],
    [5, 0],
    [2, -0.3],
  ])("a decay through equal responses has rate 0, well determined, from start %s, %s", (a, b) => {
    const x = Array.from({ length: 15 }, (_, i) => [i + 1]);
    const model = dress(formulaModel("a * exp(-b * t)", { variables: ["t"] }));
    const fit = requireConverged(fitNonlinear({ x, y: x.map(() => 5) }, model, { start: [a, b] }));
    expectDigits(fit.estimates[0]!, 5, 10);
    expect(Math.abs(fit.estimates[1]!)).toBeLessThan(1e-12);
  });

  /**
   * Residuals of the size of the model: J. J. More, B. S. Garbow and K. E. Hillstrom, ACM Trans. Math. Softw. 7 (1981)
   * 17-41, problem 16, with their start and minimum. The gradient is checked against zero besides.
   */
  test("Brown and Dennis's problem of large residuals is solved", () => {
    const x = Array.from({ length: 20 }, (_, i) => [(i + 1) / 5]);
    const model = dress(
      formulaModel("(x1 + t * x2 - exp(t))^2 + (x3 + x4 * sin(t) - cos(t))^2", { variables: ["t"] }),
    );
    const fit = requireConverged(
      fitNonlinear({ x, y: x.map(() => 0) }, model, { start: [25, 5, -5, -1], starts: 0 }),
    );
    expectDigits(fit.rss, 85822.2, 6);
    const [x1, x2, x3, x4] = fit.estimates as [number, number, number, number];
    let [g1, g3, size] = [0, 0, 0];
    for (const [t] of x as [number][]) {
      const u = x1 + t * x2 - Math.exp(t);
      const v = x3 + x4 * Math.sin(t) - Math.cos(t);
      const f = u * u + v * v;
      g1 += 4 * f * u;
      g3 += 4 * f * v;
      size += Math.abs(4 * f * u) + Math.abs(4 * f * v);
    }
    expect(Math.abs(g1) + Math.abs(g3)).toBeLessThan(1e-9 * size);
  });
});
