import { describe, expect, test } from "vitest";
import { fitLinear } from "../../../lib/regression/index.js";
import { correctDigits, expectDigits } from "../../support/digits.js";
import { readFixture } from "../../support/fixture.js";

/** The 11 linear problems of NIST's Statistical Reference Datasets, polynomials in raw powers. */
interface Problem {
  readonly name: string;
  readonly intercept: boolean;
  readonly parameters: string[];
  readonly x: number[][];
  readonly y: number[];
  readonly exact: { readonly estimates: number[]; readonly standardErrors: number[]; readonly rss: number };
}
const { problems } = readFixture<{ problems: Problem[] }>(import.meta.url, "../fixtures/nist-linear.json");

function regressors({ intercept, parameters, x }: Problem): number[][] {
  return x.map((row) => {
    if (row.length > 1) return intercept ? [1, ...row] : row;
    return parameters.map((_, j) => row[0]! ** (intercept ? j : j + 1));
  });
}

/**
 * Filip's tenth powers, rounded to doubles, already differ from the exact ones by enough to change the eighth digit of
 * the answer: 7 digits are what raw powers allow.
 */
const wanted = (name: string): number => (name === "Filip" ? 7 : 12);

describe("NIST linear problems", () => {
  test("are 11", () => {
    expect(problems).toHaveLength(11);
  });

  test.each(problems.map((problem) => [problem.name, problem] as const))("%s", (name, problem) => {
    const fit = fitLinear({ x: regressors(problem), y: problem.y }, { names: problem.parameters });
    expect(fit.rank).toBe(problem.parameters.length);
    expect(fit.aliased).toEqual([]);
    problem.parameters.forEach((parameter, j) => {
      expectDigits(fit.estimates[j]!, problem.exact.estimates[j]!, wanted(name), parameter);
      expectDigits(
        fit.standardErrors[j]!,
        problem.exact.standardErrors[j]!,
        wanted(name),
        `sd of ${parameter}`,
      );
    });
    expect(correctDigits(fit.rss, problem.exact.rss)).toBeGreaterThanOrEqual(wanted(name));
  });
});
