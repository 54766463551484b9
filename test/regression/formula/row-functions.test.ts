import { describe, expect, test } from "vitest";
import { randomStream } from "../../../lib/numeric/index.js";
import { makeProblem, rowFunctionsOf, sweep } from "../../../lib/regression/common/index.js";
import { fitNonlinear, formulaModel } from "../../../lib/regression/index.js";
import { expectDigits } from "../../support/digits.js";
import { nistProblems, nistResponse } from "../nist-problems.js";

describe("a formula computed for all rows at once", () => {
  test.each(nistProblems)("$name: values and derivatives are those row by row", (problem) => {
    const model = formulaModel(problem.model, problem);
    const random = randomStream(3);
    const weights = problem.x.map(() => 0.5 + random.uniform());
    const laid = makeProblem({ x: problem.x, y: nistResponse(problem), weights }, model);
    const { rows, size, root } = laid;
    for (const theta of [...problem.starts, problem.certified.estimates]) {
      const values = new Float64Array(rows + 2);
      expect(sweep({ problem: laid, theta, out: values, offset: 2 })).toBe(true);
      const starts = new Int32Array(size).fill(-1);
      // Every second derivative is asked for, the last one first.
      const asked = laid.places.filter((j) => j % 2 === 0).reverse();
      asked.forEach((j, k) => {
        starts[j] = k * rows;
      });
      const slopes = new Float64Array(rows * asked.length);
      rowFunctionsOf(model)!.slopes(theta, problem.x, root, starts, slopes);
      problem.x.forEach((row, i) => {
        const w = Math.sqrt(weights[i]!);
        expectDigits(values[2 + i]!, w * model.predict(theta, row), 14);
        const gradient = model.gradient(theta, row);
        asked.forEach((j, k) => {
          expectDigits(slopes[k * rows + i]!, w * gradient[j]!, 14);
        });
      });
    }
  });

  const model = formulaModel("a * exp(-k * t)", { variables: ["t"] });
  const x = Array.from({ length: 12 }, (_, i) => [i / 2]);
  const y = x.map(([t], i) => 3 * Math.exp(-0.4 * t!) + 0.05 * Math.sin(7 * i));

  test("a model whose values were replaced is fitted by the new ones", () => {
    const doubled = {
      ...model,
      predict: (theta: readonly number[], row: readonly number[]) => 2 * model.predict(theta, row),
    };
    const { gradient: _gradient, ...plain } = doubled;
    const fit = fitNonlinear({ x, y }, plain, { start: [1, 1] });
    expectDigits(fit.estimates[0]!, fitNonlinear({ x, y }, model, { start: [1, 1] }).estimates[0]! / 2, 8);
    expect(() => fitNonlinear({ x, y }, doubled, { start: [1, 1] })).toThrow(/gradient by a/);
  });

  test("a gradient put in the place of the derived one is checked", () => {
    const wrong = {
      ...model,
      gradient: (theta: readonly number[], row: readonly number[]) =>
        model.gradient(theta, row).map((value, j) => (j === 1 ? 2 * value : value)),
    };
    expect(() => fitNonlinear({ x, y }, wrong, { start: [1, 1] })).toThrow(/gradient by k/);
  });
});
