import { describe, expect, test, vi } from "vitest";
import {
  type DesignFactor,
  type DesignKind,
  designKinds,
  evaluatePlan,
  type Plan,
  planCoupons,
  type Settings,
  type Survival,
} from "../../../lib/design/index.js";
import { mean } from "../../../lib/numeric/index.js";
import { expectDigits } from "../../support/digits.js";
import { readFixture } from "../../support/fixture.js";
import { codedFactors, crossProducts, determinant } from "../coded.js";

// Searches take a second or two of one core; a busy machine may stretch that.
vi.setConfig({ testTimeout: 60_000 });

/** Coupons live on a ridge, where x1 and x2 go together. */
const ridge: Survival = ({ x1, x2 }) => [1 / (1 + Math.exp(8 * (Math.abs(Number(x1) - Number(x2)) - 0.6)))];
const chanceOn = (survival: Survival, settings: Settings): number => mean(Array.from(survival(settings)));
const expectedOf = ({ runs }: Plan): number => runs.reduce((sum, { survival }) => sum + survival!, 0);

const three = codedFactors(3, 0.05);
const counts: Readonly<Partial<Record<DesignKind, number>>> = { "box-behnken": 15, "central-composite": 18 };
const planOf = (design: DesignKind, more: object = {}): Plan =>
  planCoupons({ factors: three, coupons: counts[design] ?? 17, design, seed: 3, ...more });
const notOptimal = designKinds.filter((design) => design !== "optimal");

describe("an optimal plan weighed by survival", () => {
  test("is the best of all plans by the determinant of the expected information, tried one and all", () => {
    const factors: readonly DesignFactor[] = codedFactors(1, 0.2);
    const survival: Survival = ({ x1 }) => [1 / (1 + Math.exp(6 * (Number(x1) - 0.35)))];
    const levels = Array.from({ length: 11 }, (_, i) => -1 + 0.2 * i);
    const value = (xs: readonly number[]): number => {
      const rows = xs.map((x) => {
        const weight = Math.sqrt(chanceOn(survival, { x1: x }));
        return [weight, weight * x, weight * x * x];
      });
      return determinant(crossProducts(rows));
    };
    let best = 0;
    const tryAll = (chosen: readonly number[], from: number): void => {
      if (chosen.length === 5) best = Math.max(best, value(chosen));
      else for (let i = from; i < levels.length; i++) tryAll([...chosen, levels[i]!], i);
    };
    tryAll([], 0);
    const { runs } = planCoupons({
      factors,
      coupons: 5,
      design: "optimal",
      model: "quadratic",
      repeats: 0,
      seed: 2,
      survival,
      survivalLevel: 0,
    });
    expectDigits(value(runs.map(({ settings }) => Number(settings.x1))), best, 9);
  });

  test("expects more of its coupons to live than one that takes all for alive", () => {
    const weighed = planOf("optimal", { survival: ridge });
    const plain = planOf("optimal").runs.map(({ settings }) => chanceOn(ridge, settings));
    expect(expectedOf(weighed)).toBeGreaterThan(1.5 * plain.reduce((sum, chance) => sum + chance, 0));
  });

  test("is chosen where coupons live, and from everywhere where that leaves too few", () => {
    for (const { survival } of planOf("optimal", { survival: ridge, survivalLevel: 0.6 }).runs)
      expect(survival).toBeGreaterThanOrEqual(0.6);
    const point: Survival = ({ x1, x2, x3 }) => [x1 === 0 && x2 === 0 && x3 === 0 ? 1 : 0.01];
    expect(planOf("optimal", { survival: point, model: "linear" }).runs).toHaveLength(17);
  });

  test("learns nothing from coupons that failed", () => {
    const dead = Array.from({ length: 12 }, (_, i) => ({
      x1: i % 2 === 0 ? -1 : 1,
      x2: i < 6 ? -1 : 1,
      x3: 0,
    }));
    const ask = { model: "quadratic", repeats: 0, survival: ridge, survivalLevel: 0.2 } as const;
    const without = planOf("optimal", ask);
    const beside = planOf("optimal", { ...ask, existing: dead, existingSurvival: dead.map(() => 0) });
    expect(beside.runs).toEqual(without.runs);
    expect(planOf("optimal", { ...ask, existing: dead }).runs).not.toEqual(without.runs);
  });
});

describe.each(notOptimal)("a %s plan", (design) => {
  test("keeps every coupon where all live alike", () => {
    const settingsOf = (plan: Plan) => plan.runs.map(({ settings }) => settings);
    expect(settingsOf(planOf(design, { survival: () => [0.8] }))).toEqual(settingsOf(planOf(design)));
  });

  test("has every coupon at the chance asked for, and says which were pulled from where", () => {
    const { runs } = planOf(design, { survival: ridge, survivalLevel: 0.6 });
    for (const { settings, survival } of runs) {
      expectDigits(survival!, chanceOn(ridge, settings), 12);
      expect(survival).toBeGreaterThanOrEqual(0.6);
    }
    const before = planOf(design).runs;
    for (const { standardOrder, settings, movedFrom } of runs) {
      if (movedFrom === undefined) continue;
      expect(chanceOn(ridge, movedFrom)).toBeLessThan(0.6);
      // On the straight way to the centre, up to a step.
      const shares = Object.keys(movedFrom)
        .filter((name) => movedFrom[name] !== 0)
        .map((name) => Number(settings[name]) / Number(movedFrom[name]));
      expect(Math.max(...shares) - Math.min(...shares)).toBeLessThanOrEqual(0.15);
      expect(before.find((run) => run.standardOrder === standardOrder)!.settings).toEqual(movedFrom);
    }
  });

  test("asks for less where even the safest setting would hardly live", () => {
    const faint: Survival = (settings) => [0.2 * chanceOn(ridge, settings)];
    for (const { survival } of planOf(design, { survival: faint }).runs)
      expect(survival).toBeGreaterThanOrEqual(0.13);
  });
});

test("coupons that nothing can save stay in the plan", () => {
  const plan = planOf("factorial", { survival: () => [0] });
  expect(plan.runs.map(({ survival }) => survival)).toEqual(plan.runs.map(() => 0));
  expect(planOf("optimal", { survival: () => [0.5], model: "linear" }).runs).toHaveLength(17);
});

describe("evaluatePlan with survival", () => {
  interface Fixture {
    readonly points: readonly (readonly [number, number])[];
    readonly chances: readonly number[];
    readonly D: number;
    readonly A: number;
    readonly x1: number;
    readonly leverages: readonly number[];
  }
  // Made by fixtures/make-expected-information.py, NumPy 1.24.2.
  const reference = readFixture<Fixture>(import.meta.url, "../fixtures/expected-information.json");
  const runs = reference.points.map(([x1, x2]) => ({ settings: { x1, x2 } }));
  const survival: Survival = ({ x1, x2 }) => [
    1 / (1 + Math.exp(-(1 - 2 * Number(x1) * Number(x2) - 0.5 * Number(x1)))),
  ];
  const factors = codedFactors(2);

  test("judges by the expected information: NumPy", () => {
    const found = evaluatePlan({ factors, runs }, { model: "quadratic", survival });
    expectDigits(found.efficiency.D, reference.D, 10);
    expectDigits(found.efficiency.A, reference.A, 10);
    expectDigits(found.terms.find(({ name }) => name === "x1")!.standardError, reference.x1, 10);
    found.coupons.forEach(({ leverage }, i) => {
      expectDigits(leverage, reference.leverages[i]!, 10);
    });
    expectDigits(
      found.survivors!.expected,
      reference.chances.reduce((sum, chance) => sum + chance, 0),
      12,
    );
  });

  test("counts survivors as a binomial does, and more widely where coupons live and die together", () => {
    const many = Array.from({ length: 20 }, (_, i) => ({
      settings: { x1: i % 2 === 0 ? -1 : 1, x2: 0.1 * i - 1 },
    }));
    const count = (chances: readonly number[]) =>
      evaluatePlan({ factors, runs: many }, { model: "linear", survival: () => chances }).survivors!;
    // qbinom(c(0.1, 0.9), 20, 0.5) of R 4.2 is 7 and 13.
    const apart = count([0.5]);
    expect([apart.lower, apart.upper].map((n, i) => Math.abs(n - [7, 13][i]!) <= 1)).toEqual([true, true]);
    const together = count([1, 0]);
    expect([together.expected, together.lower, together.upper]).toEqual([10, 0, 20]);
    expect(together.allTerms).toBe(0.5);
  });

  test("coupons already run that failed leave a plan as it was", () => {
    const failed = [
      { x1: 1, x2: 1 },
      { x1: -1, x2: 1 },
    ];
    const alone = evaluatePlan({ factors, runs }, { model: "quadratic" });
    const beside = evaluatePlan(
      { factors, runs },
      { model: "quadratic", existing: failed, existingSurvival: [0, 0] },
    );
    expectDigits(beside.prediction.mean, alone.prediction.mean, 5);
    expect(beside.residualDegreesOfFreedom).toBe(alone.residualDegreesOfFreedom);
    expect(() => evaluatePlan({ factors, runs }, { existing: failed, existingSurvival: [1] })).toThrow(
      "existingSurvival needs one chance per existing coupon (2), got 1",
    );
  });

  test("has an answer where nothing survives", () => {
    const { survivors } = evaluatePlan({ factors, runs }, { model: "linear", survival: () => [0] });
    expect(survivors).toMatchObject({ expected: 0, lower: 0, upper: 0, allTerms: 0 });
  });
});
