import { describe, expect, test } from "vitest";
import { type DesignFactor, makeAxes, makeRegion, settingsOf } from "../../../lib/design/region/index.js";
import {
  candidateOf,
  centreCandidates,
  type Effort,
  estimateEffort,
  type PlannedRun,
  pullInside,
} from "../../../lib/design/runs/index.js";
import { fc } from "../../support/properties.js";

const speed: DesignFactor = { name: "speed", unit: "mm/min", low: 80, high: 160, step: 10 };
const cup: DesignFactor = { name: "cup", unit: "1", kind: "category", levels: ["small", "large"] };
const gas: DesignFactor = { name: "gas", unit: "1", kind: "category", levels: ["I1", "I3", "M12"] };

describe("candidateOf", () => {
  const axes = makeAxes([speed, cup, gas]);
  const settings = (coded: readonly number[], turn = 0) =>
    settingsOf(axes, candidateOf(axes, { role: "factorial", coded }, turn).point);

  test("sets a textbook row on the rig's steps, a category of two levels by sign, of more by index", () => {
    expect(settings([-1, -1, 0])).toEqual({ speed: 80, cup: "small", gas: "I1" });
    expect(settings([1, 1, 2])).toEqual({ speed: 160, cup: "large", gas: "M12" });
    // 0.3 is 132 mm/min.
    expect(settings([0.3, -1, 1])).toEqual({ speed: 130, cup: "small", gas: "I3" });
    // A star point beyond the range stays at its end.
    expect(settings([-1.68, 1, 1]).speed).toBe(80);
    // Zero, which a category of two levels has none for, goes to its levels in turn.
    expect([0, 1, 2, 3].map((turn) => settings([0, 0, 1], turn).cup)).toEqual([
      "small",
      "large",
      "small",
      "large",
    ]);
  });

  test("counts blocks from 0, and knows of none where the design has none", () => {
    const run = { role: "axial", coded: [0, 1, 1] } as const;
    expect(candidateOf(axes, { ...run, block: 2 }, 0)).toMatchObject({ role: "axial", block: 1 });
    expect(candidateOf(axes, run, 0)).not.toHaveProperty("block");
  });
});

describe("centreCandidates", () => {
  test("stand in the middle and share the levels of a category as evenly as their number allows", () => {
    const axes = makeAxes([speed, gas]);
    fc.assert(
      fc.property(fc.nat({ max: 20 }), (count) => {
        const centres = centreCandidates(axes, count);
        expect(centres).toHaveLength(count);
        expect(centres.every(({ role }) => role === "centre")).toBe(true);
        const made = centres.map(({ point }) => settingsOf(axes, point));
        expect(made.every((centre) => centre.speed === 120)).toBe(true);
        const shares = ["I1", "I3", "M12"].map((level) => made.filter((s) => s.gas === level).length);
        expect(Math.max(...shares) - Math.min(...shares)).toBeLessThanOrEqual(1);
      }),
    );
  });
});

describe("pullInside", () => {
  const axes = makeAxes([
    { name: "x", unit: "mm", low: 0, high: 50, step: 1 },
    { name: "y", unit: "mm", low: 0, high: 50, step: 1 },
    cup,
  ]);
  const within = (max: number) =>
    makeRegion(axes, [{ name: "sum", value: ({ x, y }) => Number(x) + Number(y), max }]);

  test("stops at the limit on the straight way, and leaves an allowed point alone", () => {
    expect(pullInside(within(60), [50, 50, 1], [0, 0, 0])).toEqual([30, 30, 1]);
    expect(pullInside(within(60), [40, 20, 1], [0, 0, 0])).toEqual([40, 20, 1]);
  });

  test("always ends at an allowed point between the two, the category kept", () => {
    const level = fc.integer({ min: 0, max: 50 });
    fc.assert(
      fc.property(level, level, level, level, level, (x, y, a, b, spare) => {
        const region = within(a + b + spare);
        const found = pullInside(region, [x, y, 1], [a, b, 1]);
        expect(region.allows(found)).toBe(true);
        expect(found[2]).toBe(1);
        for (const [j, from, to] of [
          [0, x, a],
          [1, y, b],
        ] as const) {
          expect(found[j]).toBeGreaterThanOrEqual(Math.min(from, to));
          expect(found[j]).toBeLessThanOrEqual(Math.max(from, to));
        }
      }),
    );
  });

  test("goes the whole way, category and all, where only the target is allowed", () => {
    const region = makeRegion(axes, [
      { name: "small cup", value: ({ cup: word }) => (word === "small" ? 1 : 0), min: 1 },
    ]);
    expect(pullInside(region, [50, 50, 1], [3, 4, 0])).toEqual([3, 4, 0]);
  });
});

describe("estimateEffort", () => {
  const run = (order: number, length: number, more: Partial<PlannedRun> = {}): PlannedRun => ({
    order,
    standardOrder: order,
    role: "factorial",
    settings: { length },
    ...more,
  });
  /** Two minutes and 12 L to set up; a bead at 100 mm/min, 10 L/min of gas and 1.5 m/min of wire. */
  const perCoupon = ({ length }: PlannedRun["settings"]): Effort => {
    const arc = Number(length) / 100;
    return { minutes: 2 + arc, gas: 12 + 10 * arc, wire: 1.5 * arc };
  };

  // Beads of 100, 200, 50 and 50 mm: by hand.
  test("adds coupons up by session, a change of the hard factors to the session it falls in", () => {
    const runs = [
      run(1, 100, { session: 1, wholePlot: 1 }),
      run(2, 200, { session: 1, wholePlot: 1 }),
      run(3, 50, { session: 2, wholePlot: 2 }),
      run(4, 50, { session: 2, wholePlot: 3 }),
    ];
    expect(estimateEffort(runs, perCoupon, 15)).toEqual({
      total: { minutes: 42, gas: 88, wire: 6 },
      sessions: [
        { minutes: 7, gas: 54, wire: 4.5 },
        { minutes: 35, gas: 34, wire: 1.5 },
      ],
      hardChanges: 2,
    });
  });

  test("is one session without sessions, without changes where no factor is hard to change, nothing for no run", () => {
    const plain = estimateEffort([run(1, 100), run(2, 100)], perCoupon, 15);
    expect(plain).toEqual({ total: plain.sessions[0], sessions: [plain.total], hardChanges: 0 });
    expect(plain.total.minutes).toBe(6);
    expect(estimateEffort([], perCoupon, 15).total).toEqual({ minutes: 0, gas: 0, wire: 0 });
  });

  test("shares out the whole between the sessions, however the runs are cut into them", () => {
    const lengths = fc.array(fc.integer({ min: 1, max: 400 }), { minLength: 1, maxLength: 30 });
    fc.assert(
      fc.property(lengths, fc.integer({ min: 1, max: 7 }), (beads, perSession) => {
        const cut = beads.map((bead, i) =>
          run(i + 1, bead, { session: 1 + Math.floor(i / perSession), wholePlot: 1 + (i >> 1) }),
        );
        const whole = estimateEffort(
          cut.map(({ session: _session, ...rest }) => rest),
          perCoupon,
          4,
        );
        const parts = estimateEffort(cut, perCoupon, 4);
        expect(parts.sessions).toHaveLength(Math.ceil(beads.length / perSession));
        expect(parts.hardChanges).toBe(Math.ceil(beads.length / 2) - 1);
        for (const what of ["minutes", "gas", "wire"] as const) {
          expect(parts.total[what]).toBeCloseTo(whole.total[what], 8);
        }
      }),
    );
  });

  test.each([
    ["minutes", -1, "minutes of coupon 2 must be at least 0, got -1"],
    ["gas", Number.NaN, "gas of coupon 2 must be at least 0, got NaN"],
    ["wire", Number.POSITIVE_INFINITY, "wire of coupon 2 must be at least 0, got Infinity"],
  ])("refuses %s of %d", (what, value, message) => {
    const bad = (settings: PlannedRun["settings"]): Effort =>
      settings.length === 7 ? { ...perCoupon(settings), [what]: value } : perCoupon(settings);
    expect(() => estimateEffort([run(1, 100), run(2, 7)], bad, 0)).toThrow(message);
  });
});
