import { describe, expect, test, vi } from "vitest";
import {
  type DesignFactor,
  type DesignKind,
  type PlannedRun,
  planCoupons,
} from "../../../lib/design/index.js";
import { expectDigits } from "../../support/digits.js";
import { fc } from "../../support/properties.js";
import { codedFactors } from "../coded.js";

// Searches take a second or two of one core; a busy machine may stretch that.
vi.setConfig({ testTimeout: 60_000 });

const withHard: readonly DesignFactor[] = [
  ...codedFactors(3, 0.1),
  { name: "nozzle", unit: "mm", low: 6, high: 12, step: 2, change: "hard" },
];

/** Correlation of a factor's settings, or of any figure of a run, with another. */
function correlation(
  runs: readonly PlannedRun[],
  f: (run: PlannedRun) => number,
  g: (run: PlannedRun) => number,
): number {
  const mean = (h: (run: PlannedRun) => number): number =>
    runs.reduce((sum, run) => sum + h(run), 0) / runs.length;
  const [mf, mg] = [mean(f), mean(g)];
  const cross = (
    a: (run: PlannedRun) => number,
    b: (run: PlannedRun) => number,
    ma: number,
    mb: number,
  ): number => runs.reduce((sum, run) => sum + (a(run) - ma) * (b(run) - mb), 0);
  return cross(f, g, mf, mg) / Math.sqrt(cross(f, f, mf, mf) * cross(g, g, mg, mg));
}

const x = (name: string) => (run: PlannedRun) => Number(run.settings[name]);

describe("blocks", () => {
  test("a 2^3 in two blocks confounds only the three-factor product", () => {
    // Box, Hunter and Hunter (1978), chapter 10: the best two blocks of four are given by the sign of ABC.
    const { runs } = planCoupons({
      factors: codedFactors(3),
      coupons: 8,
      design: "factorial",
      blocks: 2,
      seed: 7,
    });
    const sign = (run: PlannedRun): number => x("x1")(run) * x("x2")(run) * x("x3")(run);
    expect(Math.abs(correlation(runs, (run) => run.block!, sign))).toBe(1);
  });

  test("a 2^4 in four blocks keeps main effects clear of blocks", () => {
    const { runs } = planCoupons({
      factors: codedFactors(4),
      coupons: 16,
      design: "factorial",
      blocks: 4,
      seed: 7,
    });
    for (const block of [1, 2, 3, 4]) {
      const inside = runs.filter((run) => run.block === block);
      expect(inside.length).toBe(4);
      for (const name of ["x1", "x2", "x3", "x4"])
        expect(inside.reduce((sum, run) => sum + x(name)(run), 0)).toBe(0);
    }
  });

  test("central composite in orthogonal blocks: corners in the first, axial coupons in the second", () => {
    const { runs } = planCoupons({
      factors: codedFactors(3),
      coupons: 19,
      design: "central-composite",
      axial: "orthogonal-blocks",
      seed: 1,
    });
    expect(runs.filter((run) => run.role === "factorial").every((run) => run.block === 1)).toBe(true);
    expect(runs.filter((run) => run.role === "axial").every((run) => run.block === 2)).toBe(true);
  });

  test.each<DesignKind>(["latin-hypercube", "central-composite", "optimal"])(
    "%s: blocks are run one after another and differ by one coupon at most",
    (design) => {
      const { runs } = planCoupons({
        factors: codedFactors(3),
        coupons: 23,
        design,
        blocks: 3,
        seed: 3,
        starts: 3,
      });
      const order = runs.map((run) => run.block!);
      expect(order).toEqual([...order].sort((a, b) => a - b));
      const sizes = [1, 2, 3].map((block) => order.filter((b) => b === block).length);
      expect(Math.max(...sizes) - Math.min(...sizes)).toBeLessThanOrEqual(1);
    },
  );
});

describe("hard-to-change factors", () => {
  test.each<DesignKind>(["factorial", "central-composite", "optimal"])(
    "%s: stay put within a whole plot",
    (design) => {
      fc.assert(
        fc.property(fc.integer(), (seed) => {
          const { runs, findings } = planCoupons({ factors: withHard, coupons: 28, design, seed, starts: 2 });
          const plots = runs.map((run) => run.wholePlot!);
          expect(plots).toEqual([...plots].sort((a, b) => a - b));
          for (const run of runs) {
            const first = runs.find((other) => other.wholePlot === run.wholePlot)!;
            expect(run.settings.nozzle).toBe(first.settings.nozzle);
          }
          expect(findings.find((finding) => finding.code === "split-plot")?.advice).toContain("REML");
        }),
        { numRuns: 3, seed: 9 },
      );
    },
  );

  test("an optimal plan keeps to the stated number of whole plots and may be analysed for their scatter", () => {
    const { runs } = planCoupons({
      factors: withHard,
      coupons: 24,
      design: "optimal",
      wholePlots: 8,
      seed: 1,
      starts: 3,
    });
    expect(new Set(runs.map((run) => run.wholePlot)).size).toBe(8);
    expect(new Set(runs.map((run) => run.settings.nozzle)).size).toBeGreaterThanOrEqual(3);
  });
});

describe("sessions", () => {
  test("each opens with the control coupon and holds at most its size", () => {
    const { runs } = planCoupons({
      factors: codedFactors(3),
      coupons: 20,
      design: "latin-hypercube",
      seed: 2,
      session: { coupons: 6, control: { x1: 0.5, x2: 0, x3: 0 } },
    });
    expect(runs.length).toBe(20);
    for (const session of [1, 2, 3, 4]) {
      const inside = runs.filter((run) => run.session === session);
      expect(inside.length).toBeLessThanOrEqual(6);
      expect(inside.map((run) => run.role === "control")).toEqual(inside.map((_, i) => i === 0));
      expect(inside[0]!.settings).toEqual({ x1: 0.5, x2: 0, x3: 0 });
    }
  });

  test("never hold more coupons than asked for, whatever is blocked or hard to change", () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 14, max: 40 }),
        fc.integer({ min: 1, max: 3 }),
        fc.integer({ min: 3, max: 9 }),
        fc.constantFrom<DesignKind>("optimal", "latin-hypercube", "sobol"),
        (coupons, blocks, size, design) => {
          const options = { factors: withHard, coupons, blocks, design, seed: 1, starts: 1 };
          const { runs } = planCoupons({ ...options, model: "linear", session: { coupons: size } });
          expect(runs.length).toBeLessThanOrEqual(coupons);
          const sessions = new Set(runs.map((run) => run.session));
          expect(runs.filter((run) => run.role === "control").length).toBe(sessions.size);
          for (const session of sessions) {
            const inside = runs.filter((run) => run.session === session);
            expect(inside.length).toBeLessThanOrEqual(size);
            expect(new Set(inside.map((run) => run.block)).size).toBe(1);
          }
        },
      ),
      { numRuns: 25, seed: 8 },
    );
  });

  test("a control coupon outside the limits is refused", () => {
    const limits = [
      {
        name: "sum",
        max: 1,
        value: (s: Readonly<Record<string, number | string>>) => Number(s.x1) + Number(s.x2),
      },
    ];
    const session = { coupons: 5, control: { x1: 1, x2: 1 } };
    expect(() => planCoupons({ factors: codedFactors(2), coupons: 12, limits, session, seed: 1 })).toThrow(
      "the control coupon breaks the limits sum",
    );
  });
});

test("a drift-robust order leaves main effects less correlated with run order than a random one", () => {
  const worst = (order: "random" | "drift-robust", seed: number): number => {
    const { runs } = planCoupons({ factors: codedFactors(4), coupons: 16, design: "factorial", order, seed });
    return Math.max(
      ...["x1", "x2", "x3", "x4"].map((name) => Math.abs(correlation(runs, x(name), (run) => run.order))),
    );
  };
  for (const seed of [1, 2, 3]) {
    expect(worst("drift-robust", seed)).toBeLessThan(0.1);
    expect(worst("drift-robust", seed)).toBeLessThan(worst("random", seed));
  }
});

describe("effort", () => {
  const couponEffort = (settings: Readonly<Record<string, number | string>>) => ({
    minutes: 5 + Number(settings.x1),
    gas: 20,
    wire: 1.5,
  });

  test("adds up per session and counts changes of hard factors", () => {
    const { effort, runs } = planCoupons({
      factors: withHard,
      coupons: 20,
      design: "factorial",
      seed: 1,
      session: { coupons: 10 },
      couponEffort,
      minutesPerHardChange: 15,
    });
    const changes = runs.filter((run, i) => i > 0 && run.wholePlot !== runs[i - 1]!.wholePlot).length;
    const minutes = runs.reduce((sum, run) => sum + 5 + x("x1")(run), 0) + 15 * changes;
    expect(effort!.hardChanges).toBe(changes);
    expectDigits(effort!.total.minutes, minutes, 12);
    expect(effort!.total.gas).toBe(400);
    expect(effort!.sessions.length).toBe(2);
    expect(effort!.sessions.reduce((sum, session) => sum + session.wire, 0)).toBe(30);
  });

  test.each<DesignKind>(["latin-hypercube", "optimal"])(
    "%s: a budget buys as many coupons as it pays for",
    (design) => {
      const options = { factors: codedFactors(3), design, seed: 1, couponEffort, starts: 2 };
      const { effort, runs } = planCoupons({ ...options, budget: { minutes: 120, gas: 400 } });
      expect(effort!.total.minutes).toBeLessThanOrEqual(120);
      expect(effort!.total.gas).toBeLessThanOrEqual(400);
      expect(runs.length).toBe(20);
    },
  );

  test("a budget too small for the design says so", () => {
    expect(() =>
      planCoupons({
        factors: codedFactors(4),
        design: "factorial",
        seed: 1,
        couponEffort,
        budget: { gas: 200 },
      }),
    ).toThrow("the budget pays for about 10 coupons: a factorial plan of 4 factors takes 16 coupons");
  });
});
