import { describe, expect, test } from "vitest";
import { randomStream } from "../../../lib/numeric/index.js";
import { fitNonlinear, formulaModel, requireConverged } from "../../../lib/regression/index.js";
import { expectDigits } from "../../support/digits.js";
import { nistProblems, nistResponse } from "../nist-problems.js";

const peak = formulaModel("h * exp(-((x - m) / w)^2) + c", { variables: ["x"] });
const x = Array.from({ length: 40 }, (_, i) => [i / 4]);
const random = randomStream(7);
const draws = Array.from({ length: 30 }, () => {
  const truth = [5, 2 + 6 * random.uniform(), 0.4 + 0.8 * random.uniform(), 1];
  return {
    truth,
    y: x.map((row) => peak.predict(truth, row) + 0.2 * random.normal()),
    start: [1 + 9 * random.uniform(), 10 * random.uniform(), 0.2 + 3 * random.uniform(), 0],
  };
});

describe("a peak from a start somewhere", () => {
  test("is found by default, though the start alone often leads elsewhere; and the fit says so", () => {
    let astray = 0;
    for (const { truth, y, start } of draws) {
      const alone = fitNonlinear({ x, y }, peak, { start, starts: 0 });
      const fit = requireConverged(fitNonlinear({ x, y }, peak, { start }));
      expect(Math.abs(fit.estimates[1]! - truth[1]!)).toBeLessThan(0.2);
      const isAstray = alone.status === "converged" && alone.rss > 1.01 * fit.rss;
      if (isAstray) {
        astray++;
        expect(fit.findings.map(({ code }) => code)).toContain("better-start");
        expect(fit.certificate.startsTried).toBeGreaterThan(1);
      }
    }
    expect(astray).toBeGreaterThan(5);
  });

  test("gives the same answer each time", () => {
    const { y, start } = draws[0]!;
    expect(fitNonlinear({ x, y }, peak, { start })).toEqual(fitNonlinear({ x, y }, peak, { start }));
  });
});

test("a sound first fit is left at that: no further start, no finding", () => {
  for (const problem of nistProblems) {
    const model = formulaModel(problem.model, problem);
    const observations = { x: problem.x, y: nistResponse(problem) };
    for (const start of problem.starts) {
      if (fitNonlinear(observations, model, { start, starts: 0 }).status !== "converged") continue;
      const { certificate, findings } = fitNonlinear(observations, model, { start });
      expect(certificate.startsTried, problem.name).toBe(1);
      expect(findings.map(({ code }) => code)).not.toContain("better-start");
    }
  }
});

test("noise about a constant stays what it is: further starts end and claim nothing better", () => {
  const noise = randomStream(5);
  const y = x.map(() => 3 + 0.2 * noise.normal());
  const line = formulaModel("a + b * x", { variables: ["x"] });
  const fit = requireConverged(fitNonlinear({ x, y }, line, { start: [1, 1] }));
  expect(fit.findings).toEqual([]);
  expectDigits(fit.estimates[0]! + fit.estimates[1]! * 4.875, y.reduce((a, b) => a + b, 0) / y.length, 9);
});
