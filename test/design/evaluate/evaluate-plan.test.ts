import { describe, expect, test, vi } from "vitest";
import {
  centralComposite,
  comparePlans,
  type DesignFactor,
  evaluatePlan,
  planCoupons,
  type Settings,
  twoLevelFactorial,
} from "../../../lib/design/index.js";
import { randomStream } from "../../../lib/numeric/index.js";
import { expectDigits } from "../../support/digits.js";
import { readFixture } from "../../support/fixture.js";
import { fc } from "../../support/properties.js";
import { codedFactors, crossProducts, determinant, secondOrder } from "../coded.js";

// Searches take a second or two of one core; a busy machine may stretch that.
vi.setConfig({ testTimeout: 60_000 });

interface Fixture {
  readonly t: readonly { n: number; delta: number; level: number; sd: number; power: number }[];
  readonly anova: readonly { groups: number; n: number; delta: number; power: number }[];
  readonly splitPlot: { ratio: number; hard: number[]; easy: number[]; coefficientErrors: number[] };
}
// Made by fixtures/make-power.R: R's power.t.test, power.anova.test and solve. R sums its noncentral F to
// 1e-9, hence 8 digits below.
const reference = readFixture<Fixture>(import.meta.url, "../fixtures/power.json");

const runsOf = (rows: readonly (readonly number[])[]): { readonly settings: Settings }[] =>
  rows.map((row) => ({ settings: Object.fromEntries(row.map((x, j) => [`x${j + 1}`, x])) }));

describe("power", () => {
  test.each(reference.t)("two groups of $n, change $delta, level $level: R's power.t.test", (row) => {
    const runs = runsOf(Array.from({ length: 2 * row.n }, (_, i) => [i % 2 === 0 ? -1 : 1]));
    const plan = { factors: codedFactors(1), runs };
    const { terms } = evaluatePlan(plan, {
      model: "linear",
      change: row.delta,
      sd: row.sd,
      level: row.level,
    });
    expectDigits(terms[0]!.power!, row.power, 8);
  });

  test.each(reference.anova)("$groups groups of $n, change $delta: R's power.anova.test", (row) => {
    const levels = Array.from({ length: row.groups }, (_, g) => `g${g}`);
    const factors: DesignFactor[] = [{ name: "gas", unit: "1", kind: "category", levels }];
    const runs = Array.from({ length: row.groups * row.n }, (_, i) => ({
      settings: { gas: levels[i % row.groups]! },
    }));
    const { terms } = evaluatePlan({ factors, runs }, { model: "linear", change: row.delta });
    expectDigits(terms[0]!.power!, row.power, 8);
  });

  test("agrees with simulated studies", () => {
    // 2^2 with two centre coupons, straight effects; t test of x1 in 4000 simulated studies.
    const coded = [...twoLevelFactorial(2), [0, 0], [0, 0]];
    const { terms } = evaluatePlan(
      { factors: codedFactors(2), runs: runsOf(coded) },
      { model: "linear", change: 3 },
    );
    const stream = randomStream(20);
    const critical = 3.182446305; // t(0.975, 3), published tables
    let hits = 0;
    const studies = 4000;
    for (let study = 0; study < studies; study++) {
      const y = coded.map((x) => 1.5 * x[0]! + stream.normal());
      const mean = y.reduce((sum, v) => sum + v, 0) / 6;
      const [b1, b2] = [0, 1].map((j) => coded.reduce((sum, x, i) => sum + x[j]! * y[i]!, 0) / 4);
      const rss = coded.reduce((sum, x, i) => sum + (y[i]! - mean - b1! * x[0]! - b2! * x[1]!) ** 2, 0);
      if (Math.abs(b1!) / Math.sqrt(rss / 3 / 4) > critical) hits++;
    }
    const power = terms[0]!.power!;
    const spread = Math.sqrt((power * (1 - power)) / studies);
    expect(Math.abs(hits / studies - power)).toBeLessThan(4 * spread);
  });

  test("grows with the change and with the number of coupons", () => {
    const power = (change: number, replicates: number): number => {
      const runs = runsOf(Array.from({ length: replicates }, () => twoLevelFactorial(2)).flat());
      return evaluatePlan({ factors: codedFactors(2), runs }, { model: "linear", change }).terms[0]!.power!;
    };
    expect(power(2, 2)).toBeGreaterThan(power(1, 2));
    expect(power(2, 3)).toBeGreaterThan(power(2, 2));
    expect(power(1e-6, 3)).toBeLessThan(0.0501);
  });
});

describe("standard errors", () => {
  test.each([2, 3, 4])("2^%i factorial: 2 sd / sqrt(n) for every effect, no correlation", (k) => {
    // Box, Hunter and Hunter (1978), chapter 10.
    const { terms, correlations, efficiency, leaks } = evaluatePlan(
      { factors: codedFactors(k), runs: runsOf(twoLevelFactorial(k)) },
      { model: "interaction", sd: 3 },
    );
    for (const term of terms) {
      expectDigits(term.standardError, 6 / Math.sqrt(2 ** k), 12, term.name);
      expectDigits(term.inflation, 1, 12, term.name);
    }
    for (const [i, row] of correlations.matrix.entries()) {
      for (const [j, r] of row.entries()) if (i !== j) expect(Math.abs(r)).toBeLessThan(1e-12);
    }
    expectDigits(efficiency.D, 1, 12);
    expect(leaks).toEqual([]);
  });

  test("rotatable central composite: prediction error depends on the distance from the centre only", () => {
    // Box and Hunter (1957).
    const { alpha, runs } = centralComposite(2, { axial: "rotatable" });
    const coded = runs.map((run) => run.coded.map((x) => x / alpha));
    const factors = codedFactors(2);
    const errorAt = (x: readonly number[]): number => {
      // A limit that leaves one point turns the mean over the region into that point.
      const near = (settings: Settings): number =>
        Math.hypot(Number(settings.x1) - x[0]!, Number(settings.x2) - x[1]!);
      const limits = [{ name: "here", max: 0.001, value: near }];
      return evaluatePlan({ factors, runs: runsOf(coded) }, { model: "quadratic", limits }).prediction.mean;
    };
    expectDigits(errorAt([0.6, 0.8]), errorAt([0, 1]), 10);
    expectDigits(errorAt([0.3, -0.4]), errorAt([-0.5, 0]), 10);
  });

  test("split plot: R's generalised least squares", () => {
    const { ratio, hard, easy, coefficientErrors } = reference.splitPlot;
    const [x1, x2] = codedFactors(2);
    const runs = hard.map((h, i) => ({
      settings: { x1: h, x2: easy[i]! },
      wholePlot: Math.floor(i / 4) + 1,
    }));
    const plan = { factors: [{ ...x1!, change: "hard" as const }, x2!], runs };
    const { terms, coupons, wholePlots } = evaluatePlan(plan, { model: "quadratic", varianceRatio: ratio });
    // Effects are twice the coefficient, squares once.
    const expected = coefficientErrors.slice(1).map((error, i) => (i < 3 ? 2 * error : error));
    for (const [i, term] of terms.entries()) expectDigits(term.standardError, expected[i]!, 12, term.name);
    expect(wholePlots).toBe(6);
    // Six whole plots less mean, hard effect and its square; 24 coupons less 6 plots and 3 easy terms.
    expect(terms.map((term) => term.degreesOfFreedom)).toEqual([3, 15, 15, 3, 15]);
    expectDigits(
      coupons.reduce((sum, coupon) => sum + coupon.leverage, 0),
      6,
      10,
    );
  });
});

describe("coupons", () => {
  const factors = codedFactors(2, 0.1);
  const points = fc.array(fc.tuple(fc.integer({ min: -10, max: 10 }), fc.integer({ min: -10, max: 10 })), {
    minLength: 7,
    maxLength: 12,
  });

  test("leverages sum to the rank; without a coupon |X'X| falls by 1 - leverage", () => {
    fc.assert(
      fc.property(points, (integers) => {
        const rows = integers.map(([a, b]) => [a / 10, b / 10]);
        const evaluation = evaluatePlan({ factors, runs: runsOf(rows) }, { model: "quadratic" });
        const total = evaluation.coupons.reduce((sum, coupon) => sum + coupon.leverage, 0);
        expectDigits(total, evaluation.rank, 8);
        const all = determinant(crossProducts(rows.map(secondOrder)));
        fc.pre(evaluation.rank === 6 && all > 1e-4);
        for (const [i, coupon] of evaluation.coupons.entries()) {
          const without = determinant(crossProducts(rows.filter((_, k) => k !== i).map(secondOrder)));
          if (coupon.lostTerms.length > 0) expect(coupon.leverage).toBeGreaterThan(1 - 1e-6);
          else expectDigits(coupon.informationWithout ** 6, without / all, 6);
        }
      }),
      { numRuns: 30, seed: 3 },
    );
  });

  test("the only coupon off the axis is indispensable for the product", () => {
    const rows = [
      [-1, -1],
      [1, -1],
      [-1, 1],
      [1, 1],
      [1, 1],
    ].slice(0, 4);
    const { coupons, findings } = evaluatePlan({ factors, runs: runsOf(rows) }, { model: "interaction" });
    expect(coupons.map((coupon) => coupon.lostTerms)).toEqual(rows.map(() => ["x1 x x2"]));
    expect(findings.filter((finding) => finding.code === "coupon-indispensable").length).toBe(4);
  });
});

describe("what cannot be told apart", () => {
  test("a half fraction aliases products and is told so", () => {
    const plan = planCoupons({ factors: codedFactors(4), coupons: 8, design: "fractional", seed: 1 });
    const { aliased, rank, parameters } = evaluatePlan(plan, { model: "interaction" });
    expect([rank, parameters]).toEqual([8, 11]);
    expect(aliased.map(({ name, with: others }) => [name, ...others])).toEqual([
      ["x2 x x3", "x1 x x4"],
      ["x2 x x4", "x1 x x3"],
      ["x3 x x4", "x1 x x2"],
    ]);
  });

  test("a 12-run screening plan leaks a third of each product", () => {
    // Plackett and Burman (1946); partial aliasing of +-1/3: Lin and Draper, Technometrics 34 (1992) 423-428.
    const plan = planCoupons({ factors: codedFactors(6), coupons: 12, design: "screening", seed: 1 });
    const { leaks } = evaluatePlan(plan, { model: "linear" });
    expect(leaks.length).toBe(15 * 4);
    for (const { share } of leaks) expectDigits(Math.abs(share), 1 / 3, 10);
  });

  test("coupons already run separate what the new ones mix", () => {
    const fraction = planCoupons({ factors: codedFactors(3), coupons: 4, design: "fractional", seed: 1 });
    const existing = twoLevelFactorial(3)
      .map((row) => ({ x1: row[0]!, x2: row[1]!, x3: row[2]! }))
      .filter(
        (settings) => !fraction.runs.some((run) => JSON.stringify(run.settings) === JSON.stringify(settings)),
      );
    expect(evaluatePlan(fraction, { model: "interaction" }).aliased.length).toBe(3);
    expect(evaluatePlan(fraction, { model: "interaction", existing }).aliased).toEqual([]);
    expect(evaluatePlan(fraction, { model: "interaction", existing, existingOffset: true }).rank).toBe(8);
  });
});

describe("comparison", () => {
  const factors = codedFactors(3);
  const small = evaluatePlan(planCoupons({ factors, coupons: 15, design: "box-behnken", seed: 1 }), {
    model: "quadratic",
  });
  const large = evaluatePlan(planCoupons({ factors, coupons: 28, design: "box-behnken", seed: 1 }), {
    model: "quadratic",
  });

  test("comparePlans puts the same measures side by side", () => {
    const measures = comparePlans(small, large);
    const of = (name: string) => measures.find(({ measure }) => measure === name)!;
    expect([of("coupons").first, of("coupons").second]).toEqual([15, 28]);
    for (const { name } of small.terms) {
      const power = of(`power, ${name}`);
      expect(power.second!).toBeGreaterThan(power.first!);
    }
    expect(() => comparePlans(small, { ...large, sd: 2 })).toThrow("only at the same sd");
  });

  test("an evaluation survives JSON", () => {
    expect(JSON.parse(JSON.stringify(small))).toEqual(small);
  });
});
