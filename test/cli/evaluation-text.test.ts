import { expect, test } from "vitest";
import { comparisonText, evaluationText } from "../../lib/cli/evaluation-text.js";
import { comparePlans, evaluatePlan, planCoupons } from "../../lib/design/index.js";
import { codedFactors } from "../design/coded.js";

const evaluated = (coupons: number) =>
  evaluatePlan(planCoupons({ factors: codedFactors(3), coupons, design: "box-behnken", seed: 1 }), {
    model: "quadratic",
  });
const small = evaluated(15);
const large = evaluated(28);

test("evaluationText prints every term and finding, comparisonText marks the better plan", () => {
  const text = evaluationText(small);
  for (const { name } of small.terms) expect(text).toContain(`\n${name} `);
  // Findings are wrapped to the width of a terminal.
  for (const { message } of small.findings) expect(text.replace(/\s+/g, " ")).toContain(message);
  expect(small.findings.length).toBeGreaterThan(0);
  expect(text).toContain("10 of 10 model terms can be estimated; 5 degrees of freedom for scatter");
  const line = comparisonText(comparePlans(small, large), ["15 coupons", "28 coupons"])
    .split("\n")
    .find((row) => row.includes("prediction error, mean"))!;
  expect(line).toMatch(/\*$/);
});
