import { describe, expect, test } from "vitest";
import { fitGrades, predictGrades } from "../../../lib/models/bead/index.js";
import { fitStudy } from "../../../lib/models/index.js";
import { expectDigits } from "../../support/digits.js";
import { coupon, tigDefinition } from "../../support/studies.js";

const definition = tigDefinition({
  factors: [
    { name: "current", unit: "A", low: 100, high: 200 },
    { name: "travel_speed", unit: "mm/min", low: 100, high: 300 },
  ],
  responses: [{ name: "looks", kind: "grade" }],
});
const given = [2, 1, 3, 3, 4, 4, 1, 2, 2, 4, 3, 4, 1, 1, 3, 2, 3, 3];
const at = (i: number) => ({ current: 100 + 20 * (i % 6), travel_speed: 120 + 60 * Math.floor(i / 6) });
const beads = (grades: readonly number[]) =>
  grades.map((looks, i) => coupon(`G${i + 1}`, { settings: at(i), grades: { looks } }));

describe("fitGrades", () => {
  const fit = fitGrades({ definition, coupons: beads(given) }, "looks");

  test("agrees with MASS::polr 7.3-58.2 (R) on settings coded from -1 to +1", () => {
    // polr(ordered(g) ~ x1 + x2, Hess = TRUE, control = list(reltol = 1e-15, maxit = 1000))
    const polr = [4.7320810431, -1.5691321543, -3.2538954245, -0.6426210024, 3.3459022482];
    const errors = [1.4531663971, 0.766187066, 1.1641711187, 0.8472750922, 1.1889249117];
    fit.fit.estimates.forEach((value, j) => {
      expectDigits(value, polr[j]!, 5.5, `estimate ${j}`);
    });
    fit.fit.standardErrors.forEach((value, j) => {
      expectDigits(value, errors[j]!, 4.5, `error ${j}`);
    });
    expect(fit.findings).toEqual([]);
  });

  test("gives the chance of each grade at settings in the factors' units, as predict.polr does", () => {
    const [middle, hot] = predictGrades(fit, [
      { current: 150, travel_speed: 180 },
      { current: 200, travel_speed: 180 },
    ]);
    [0.03718716276, 0.307467136, 0.62131609, 0.034029607].forEach((p, k) => {
      expectDigits(middle!.chances[k]!, p, 5, `middle ${k}`);
    });
    [0.00034008444, 0.004270855, 0.19540755, 0.799981509].forEach((p, k) => {
      expectDigits(hot!.chances[k]!, p, 4.5, `hot ${k}`);
    });
    expect(fit.chances[0]!.chances).toEqual(middle!.chances);
    const end = fit.chances.find(({ at }) => at?.factor === "current" && at.value === 200);
    expect(end!.chances).toEqual(hot!.chances);
  });

  test("grades that a setting parts without overlap get finite effects and a finding", () => {
    const parted = fitGrades(
      { definition, coupons: beads(given.map((_, i) => (i % 6 < 3 ? 2 : 4))) },
      "looks",
    );
    expect(parted.priorSd).toBeDefined();
    expect(parted.fit.estimates.every(Number.isFinite)).toBe(true);
    expect(parted.fit.estimates[0]!).toBeGreaterThan(1);
    expect(parted.findings.map(({ code }) => code)).toEqual(["weak-prior"]);
    expect(parted.findings[0]!.message).toContain("without overlap");
  });

  test("is part of the fit of a study; where it cannot be, the findings say why", () => {
    expect(fitStudy({ definition, coupons: beads(given) }).graded).toEqual([fit]);
    expect(() => fitStudy({ definition, coupons: beads(given.map(() => 3)) })).toThrow(
      /looks: all 18 graded coupons have grade 3; the fit needs two different grades/,
    );
  });
});
