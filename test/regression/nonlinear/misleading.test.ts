import { describe, expect, test } from "vitest";
import { fitGaussianProcess, fitNonlinear, formulaModel, type Model } from "../../../lib/regression/index.js";
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
