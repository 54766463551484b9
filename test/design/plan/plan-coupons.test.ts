import { describe, expect, test, vi } from "vitest";
import {
  type DesignFactor,
  type DesignKind,
  type DesignLimit,
  type Plan,
  type PlanOptions,
  planCoupons,
} from "../../../lib/design/index.js";
import { fc } from "../../support/properties.js";
import { codedFactors } from "../coded.js";

// Searches take a second or two of one core; a busy machine may stretch that.
vi.setConfig({ testTimeout: 60_000 });

const factors: readonly DesignFactor[] = [
  { name: "current", unit: "A", low: 80, high: 160, step: 5 },
  { name: "arc_voltage", unit: "V", low: 10, high: 16, step: 0.5 },
  { name: "travel_speed", unit: "mm/s", low: 2, high: 6, step: 0.1 },
];
const power = (settings: Readonly<Record<string, number | string>>): number =>
  Number(settings.current) * Number(settings.arc_voltage);
const arcEnergy = (max: number): DesignLimit => ({
  name: "arc_energy",
  unit: "kJ/mm",
  max,
  value: (settings) => power(settings) / Number(settings.travel_speed) / 1000,
});
const kinds: readonly DesignKind[] = [
  "factorial",
  "fractional",
  "screening",
  "central-composite",
  "box-behnken",
  "definitive-screening",
  "latin-hypercube",
  "sobol",
  "optimal",
];

function expectOnSteps(plan: Plan): void {
  for (const { settings } of plan.runs) {
    for (const { name, low, high, step } of plan.factors) {
      const value = settings[name] as number;
      expect(value).toBeGreaterThanOrEqual(low!);
      expect(value).toBeLessThanOrEqual(high!);
      const steps = (value - low!) / step!;
      expect(Math.abs(steps - Math.round(steps))).toBeLessThan(1e-6);
    }
  }
}

describe("planCoupons", () => {
  test.each(kinds)(
    "%s: values on steps, limits met, orders are permutations, same seed same plan, JSON",
    (design) => {
      fc.assert(
        fc.property(
          fc.integer({ min: 18, max: 28 }),
          fc.integer(),
          fc.double({ min: 0.3, max: 1.5, noNaN: true }),
          (coupons, seed, max) => {
            const limit = arcEnergy(max);
            const options = { factors, coupons, design, seed, limits: [limit], starts: 3 };
            const plan = planCoupons(options);
            expectOnSteps(plan);
            for (const { settings } of plan.runs)
              expect(limit.value(settings)).toBeLessThanOrEqual(max * (1 + 1e-9));
            const expected = plan.runs.map((_, i) => i + 1);
            expect(plan.runs.map((run) => run.order)).toEqual(expected);
            expect(plan.runs.map((run) => run.standardOrder).sort((a, b) => a - b)).toEqual(expected);
            expect(plan.runs.length).toBe(coupons);
            expect(planCoupons(options)).toEqual(plan);
            expect(JSON.parse(JSON.stringify(plan))).toEqual(plan);
          },
        ),
        { numRuns: 4, seed: 4 },
      );
    },
  );

  test("another seed gives another order", () => {
    const order = (seed: number) =>
      planCoupons({ factors, coupons: 16, design: "factorial", seed }).runs.map((run) => run.standardOrder);
    expect(order(1)).not.toEqual(order(2));
  });

  test("a Latin hypercube spaces every numeric factor evenly and balances categories", () => {
    const mixed: DesignFactor[] = [
      ...codedFactors(2, 0.1),
      { name: "gas", unit: "1", kind: "category", levels: ["argon", "mix", "helium"] },
    ];
    const { runs } = planCoupons({ factors: mixed, coupons: 21, design: "latin-hypercube", seed: 5 });
    for (const name of ["x1", "x2"]) {
      const values = runs.map((run) => run.settings[name] as number).sort((a, b) => a - b);
      expect(values).toEqual(Array.from({ length: 21 }, (_, i) => Number((-1 + 0.1 * i).toFixed(1))));
    }
    for (const gas of ["argon", "mix", "helium"]) {
      expect(runs.filter((run) => run.settings.gas === gas).length).toBe(7);
    }
  });

  test("a maximin Latin hypercube keeps coupons farther apart than random ones do", () => {
    const least = (rows: readonly (readonly number[])[]): number =>
      Math.min(
        ...rows.flatMap((a, i) => rows.slice(i + 1).map((b) => Math.hypot(...a.map((x, j) => x - b[j]!)))),
      );
    const rows = (plan: Plan) => plan.runs.map(({ settings }) => [Number(settings.x1), Number(settings.x2)]);
    const wide = codedFactors(2, 0.001);
    for (const seed of [1, 2, 3]) {
      const maximin = planCoupons({ factors: wide, coupons: 15, design: "latin-hypercube", seed });
      // The best known 15-point maximin Latin square keeps squared distance 17 in cells of 1
      // (van Dam, Husslage, den Hertog and Melissen, 2007; from memory): within 25 % of it.
      expect((least(rows(maximin)) * 14) / 2).toBeGreaterThan(0.75 * Math.sqrt(17));
    }
  });

  test("16 Sobol coupons meet each sixteenth of every factor once", () => {
    // The one-dimensional net property of the sequence, kept by scrambling: Owen (1995); Joe and Kuo (2008).
    const levels = Array.from({ length: 16 }, (_, i) => i);
    const discrete = ["a", "b", "c", "d"].map(
      (name): DesignFactor => ({ name, unit: "1", kind: "discrete", levels }),
    );
    const { runs } = planCoupons({ factors: discrete, coupons: 16, design: "sobol", seed: 6 });
    for (const { name } of discrete) {
      expect(runs.map((run) => Number(run.settings[name])).sort((a, b) => a - b)).toEqual(levels);
    }
  });

  test("existing coupons are kept away from by a Latin hypercube", () => {
    const existing = Array.from({ length: 6 }, (_, i) => ({ x1: -1 + 0.4 * i, x2: -1 + 0.4 * i }));
    const { runs } = planCoupons({
      factors: codedFactors(2),
      coupons: 10,
      design: "latin-hypercube",
      seed: 2,
      existing,
    });
    for (const { settings } of runs) {
      for (const old of existing) {
        expect(Math.hypot(Number(settings.x1) - old.x1, Number(settings.x2) - old.x2)).toBeGreaterThan(0.1);
      }
    }
  });

  test("few coupons beside many already run are different ones", () => {
    const existing = planCoupons({ factors, coupons: 24, design: "sobol", seed: 4 }).runs.map(
      ({ settings }) => settings,
    );
    const { runs } = planCoupons({
      factors,
      coupons: 4,
      design: "optimal",
      model: "linear",
      seed: 1,
      existing,
    });
    const different = new Set(runs.map(({ settings }) => JSON.stringify(settings)));
    expect(different.size).toBeGreaterThanOrEqual(3);
  });

  test("a full factorial with a category of three levels holds every combination", () => {
    const gas: DesignFactor = { name: "gas", unit: "1", kind: "category", levels: ["a", "b", "c"] };
    const { runs } = planCoupons({
      factors: [...codedFactors(2), gas],
      coupons: 12,
      design: "factorial",
      seed: 1,
    });
    expect(new Set(runs.map((run) => JSON.stringify(run.settings))).size).toBe(12);
  });

  test("a rotatable central composite stays inside the ranges", () => {
    const plan = planCoupons({
      factors,
      coupons: 20,
      design: "central-composite",
      axial: "rotatable",
      seed: 1,
    });
    const currents = new Set(plan.runs.map((run) => run.settings.current));
    expect([...currents].map(Number).sort((a, b) => a - b)).toEqual([80, 95, 120, 145, 160]);
  });

  test.each([
    [
      "arc_energy",
      [arcEnergy(0.1)],
      /limit "arc_energy at most 0.1 kJ\/mm" alone leaves no setting.*0.1333 kJ\/mm/,
    ],
    [
      "arc_energy and power",
      [arcEnergy(0.2), { name: "power", unit: "W", min: 2000, value: power }],
      /"arc_energy at most 0.2 kJ\/mm" and "power at least 2000 W" together leave no setting/,
    ],
  ] as const)("an impossible plan names the limit that empties it: %s", (_, limits, message) => {
    expect(() => planCoupons({ factors, coupons: 12, limits, seed: 1 })).toThrow(message);
  });

  test("a thin allowed region is found and filled", () => {
    const thin: DesignLimit = { name: "power", unit: "W", min: 1598, max: 1602, value: power };
    const { runs } = planCoupons({
      factors,
      coupons: 12,
      design: "latin-hypercube",
      limits: [thin],
      seed: 3,
    });
    for (const { settings } of runs) expect(power(settings)).toBe(1600);
  });

  test.each([
    [{ coupons: 5, design: "factorial" as const }, "a factorial plan of 3 factors takes 8 coupons"],
    [{ coupons: 5, design: "optimal" as const, model: "quadratic" as const }, "the model has 10 terms"],
    [{}, "a number of coupons or a budget"],
    [
      { coupons: 9, factors: [{ name: "a", unit: "A", low: 3, high: 1 }] },
      'factor "a": low must be below high',
    ],
    [{ coupons: 9, factors: [...factors, factors[0]!] }, '"current" twice'],
  ])("says what to mend: %#", (change, message) => {
    expect(() => planCoupons({ factors, seed: 1, ...change } as PlanOptions)).toThrow(message);
  });
});
