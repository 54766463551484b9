import { describe, expect, test } from "vitest";
import {
  fitGaussianProcess,
  fitNonlinear,
  formulaModel,
  type Model,
  requireConverged,
} from "../../../lib/regression/index.js";
import { expectDigits } from "../../support/digits.js";
import { readFixture } from "../../support/fixture.js";
import { nistProblems } from "../nist-problems.js";

const codes = (result: { readonly findings: readonly { readonly code: string }[] }): string[] =>
  result.findings.map(({ code }) => code);

describe("a gradient that is not that of the values", () => {
  const { x, y } = readFixture<{ puromycin: { x: number[]; y: number[] } }>(
    import.meta.url,
    "../fixtures/least-squares.json",
  ).puromycin;
  const observations = { x: x.map((value) => [value]), y };
  const right = formulaModel("Vm * c / (K + c)", { variables: ["c"] });
  const wrong = (factors: readonly number[]): Model => ({
    parameters: right.parameters,
    predict: right.predict,
    gradient: (theta, row) => right.gradient(theta, row).map((value, j) => value * factors[j]!),
  });

  test.each([
    ["K", [1, 2]],
    ["K", [1, -1]],
    ["Vm", [0.5, 1]],
    ["Vm", [1.01, 1]],
  ] as const)("is refused, naming %s", (name, factors) => {
    expect(() => fitNonlinear(observations, wrong(factors), { start: [200, 0.05] })).toThrow(
      new RegExp(`gradient by ${name} is .* leave gradient out`),
    );
  });

  test("is found at the answer where it cannot be seen at the start", () => {
    const late: Model = {
      ...right,
      gradient: (theta, row) =>
        right.gradient(theta, row).map((value, j) => (j === 1 && theta[1]! > 0.06 ? 2 * value : value)),
    };
    expect(() => fitNonlinear(observations, late, { start: [200, 0.05] })).toThrow(/gradient by K/);
  });

  test("a right one raises nothing, whatever the scale of the parameters", () => {
    for (const scale of [1e-9, 1e-4, 1, 1e5, 1e12]) {
      const scaled: Model = {
        parameters: right.parameters,
        predict: ([Vm, K], row) => right.predict([Vm! * scale, K! / scale], row),
        gradient: ([Vm, K], row) => {
          const [first, second] = right.gradient([Vm! * scale, K! / scale], row);
          return [first! * scale, second! / scale];
        },
      };
      const fit = fitNonlinear(observations, scaled, { start: [200 / scale, 0.05 * scale] });
      expect(fit.status).toBe("converged");
    }
  });
});

test("residuals at the rounding of the data are said to be that: Lanczos1 and no other of NIST's problems", () => {
  const said = nistProblems
    .filter(({ name }) => /^(Lanczos|Misra1|BoxBOD|DanWood|Rat42)/.test(name))
    .filter((problem) => {
      const model = formulaModel(problem.model, problem);
      return codes(fitNonlinear(problem, model, { start: problem.starts[1]! })).includes("rounding-floor");
    });
  expect(said.map(({ name }) => name)).toEqual(["Lanczos1"]);
});

test("a Gaussian process through equal responses says that its deviations mean nothing", () => {
  const x = Array.from({ length: 8 }, (_, i) => [i]);
  expect(codes(fitGaussianProcess({ x, y: x.map(() => 5.1) }))).toContain("no-spread");
  expect(codes(fitGaussianProcess({ x, y: x.map(([v]) => 5.1 + 1e-6 * Math.sin(v!)) }))).not.toContain(
    "no-spread",
  );
});

test("of frequencies that sampling cannot tell apart, the one by the start is given and another named", () => {
  const model = formulaModel("a * exp(-t / b) * cos(2 * pi * f * t)", { variables: ["t"] });
  const x = Array.from({ length: 60 }, (_, i) => [i / 10]);
  // 1.7 and 8.3, 11.7, 18.3 ... are one at steps of 0.1.
  const y = x.map(
    ([t], i) => 5 * Math.exp(-t! / 2.3) * Math.cos(3.4 * Math.PI * t!) + 0.05 * Math.sin(7 * i * i),
  );
  const at = (a: number, b: number, f: number) =>
    model.parameters.map((name) => ({ a, b, f })[name as "a" | "b" | "f"]);
  const near = requireConverged(fitNonlinear({ x, y }, model, { start: at(4, 2, 1.68) }));
  expectDigits(near.estimates[model.parameters.indexOf("f")]!, 1.7, 2);
  const searched = requireConverged(fitNonlinear({ x, y }, model, { start: at(4, 2, 1.6), starts: 12 }));
  expectDigits(searched.estimates[model.parameters.indexOf("f")]!, 1.7, 2);
  const told = searched.findings.filter(({ code }) => code === "equal-minima");
  expect(told).toHaveLength(1);
  expect(told[0]!.about).toEqual(["f"]);
});
