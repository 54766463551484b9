import { describe, expect, test } from "vitest";
import {
  describeBalance,
  groupBySettings,
  listed,
  massBalances,
  openBalance,
  pureErrors,
  strangeness,
} from "../../../lib/models/balance/index.js";
import type { Coupon } from "../../../lib/study/index.js";
import { expectDigits } from "../../support/digits.js";
import { fc } from "../../support/properties.js";
import { coupon, tigDefinition } from "../../support/studies.js";

/** Deposition efficiency of TIG (AWS Welding Handbook ranges, from memory). */
const EFFICIENCY = 0.99;
const definition = tigDefinition();
const settings = { current: 150, travel_speed: 180, wire_feed_speed: 1.2 };

/** A bead of 1.2 mm wire fed at 20 mm/s and laid at 3 mm/s, of a width and a share of the box around it. */
function bead(
  id: string,
  { fullness, width = 6, wire = 1.2 }: Record<string, number> & { fullness: number },
) {
  const area = (EFFICIENCY * Math.PI * (wire / 2) ** 2 * 20) / 3;
  return coupon(id, { settings, measured: { bead_width: width, bead_height: area / (fullness * width) } });
}

const balanced = (coupons: readonly Coupon[]) => massBalances({ definition, coupons });

describe("the metal fed against the section measured", () => {
  test("tells sections a bead can have from those it cannot: a segment, a half ellipse; never a box", () => {
    // Shares of the enclosing box by plane geometry: parabola 2/3, half ellipse pi/4, triangle 1/2, box 1.
    const shares = { parabola: 2 / 3, ellipse: Math.PI / 4, triangle: 1 / 2, box: 1, spike: 1 / 3 };
    const verdicts = balanced(Object.entries(shares).map(([id, fullness]) => bead(id, { fullness })));
    Object.values(shares).forEach((share, i) => {
      expectDigits(verdicts[i]!.ratio, share, 12);
    });
    expect(verdicts.map(({ plausible }) => plausible)).toEqual([true, true, true, false, false]);
  });

  test("a wall may be a box, and a height without a width is judged by the width it implies", () => {
    const walls = tigDefinition({
      responses: [
        { name: "wall_width", unit: "mm", kind: "measured", spec: { upper: 7 } },
        { name: "layer_height", unit: "mm", kind: "measured", spec: { upper: 3 } },
      ],
    });
    const area = (EFFICIENCY * Math.PI * 0.36 * 20) / 3;
    const context = { layer: { value: 8, unit: "1" } };
    const wall = (measured: Record<string, number>) =>
      massBalances({ definition: walls, coupons: [coupon("W1", { settings, context, measured })] })[0]!;
    const box = wall({ wall_width: 5, layer_height: area / 5 });
    expect(box).toMatchObject({ section: "wall", basis: "fullness", plausible: true });
    expectDigits(box.ratio, 1, 12);
    const alone = wall({ layer_height: 1.2 });
    expect(alone).toMatchObject({ basis: "aspect", responses: { height: "layer_height" }, plausible: true });
    // The width of which the sentence speaks, times the height and a usual wall's fullness, is the area again.
    const width = Number(/to be ([\d.]+) mm wide/.exec(describeBalance([alone]))![1]);
    expect((width * 1.2 * 0.93) / area).toBeCloseTo(1, 2);
  });

  test("depends on feed over travel alone, and grows with the square of the wire", () => {
    fc.assert(
      fc.property(
        fc.double({ min: 0.2, max: 5, noNaN: true }),
        fc.double({ min: 0.8, max: 2.4, noNaN: true }),
        (times, diameter) => {
          const wired = tigDefinition({ wire: { classification: "ER308L", diameter: `${diameter} mm` } });
          const one = bead("C1", { fullness: 0.7 });
          const faster = {
            ...one,
            settings: { ...settings, travel_speed: 180 * times, wire_feed_speed: 1.2 * times },
          };
          const [own] = balanced([one]);
          const [other] = massBalances({ definition: wired, coupons: [faster] });
          expectDigits(other!.fedArea, own!.fedArea * (diameter / 1.2) ** 2, 12);
          expectDigits(other!.ratio, own!.ratio * (diameter / 1.2) ** 2, 12);
        },
      ),
    );
  });

  test("leaves out coupons that nothing can be said of: no height, no feed, settings no rig runs", () => {
    const whole = bead("C1", { fullness: 0.7 });
    const { wire_feed_speed: _, ...unfed } = settings;
    const coupons = [
      whole,
      coupon("C2", { settings, measured: { bead_width: 6 } }),
      coupon("C3", { settings, measured: { bead_width: 6, bead_height: 0 } }),
      { ...whole, id: "C4", settings: unfed },
      { ...whole, id: "C5", settings: { ...settings, wire_feed_speed: 1200 } },
      { ...whole, id: "C6", settings: { ...settings, travel_speed: 0 } },
    ];
    expect(balanced(coupons).map(({ coupon: id }) => id)).toEqual(["C1"]);
  });

  test("strangeness is 0 for a usual section, 1 at the edge of its range and grows outwards", () => {
    const of = (ratio: number) => strangeness({ section: "bead", basis: "aspect", ratio });
    // Range 1 to 12 about 3: 6 lies halfway between 3 and 12 as ratios go.
    expect(of(3)).toBe(0);
    for (const edge of [1, 12]) expectDigits(of(edge), 1, 12);
    expectDigits(of(6), 0.5, 12);
    const ratio = fc.double({ min: 0.01, max: 100, noNaN: true });
    fc.assert(
      fc.property(ratio, fc.double({ min: 1.01, max: 10, noNaN: true }), (at, times) => {
        expect(of(at >= 3 ? at * times : at / times)).toBeGreaterThan(of(at));
      }),
    );
  });
});

describe("openBalance", () => {
  test("beads of a thicker wire than the study names give away the wire", () => {
    const coupons = Array.from({ length: 8 }, (_, i) =>
      bead(`C${i + 1}`, { fullness: 2 / 3, width: 5.5 + 0.2 * i, wire: 1.6 }),
    );
    const balances = balanced(coupons);
    expect(balances.every(({ plausible }) => !plausible)).toBe(true);
    const finding = openBalance(definition, balances, coupons.length);
    expect(finding.advice).toMatch(/^a wire of 1\.6 or .*mm instead of 1\.2 mm would fit: measure it\. /);
    expect(finding.message).toContain("in 8 of 8 coupons (C1, C2, C3, C4, C5 and 3 more)");
    expect(finding.about).toEqual(coupons.map(({ id }) => id));
    // One of many is a bead measured amiss, not another wire.
    const single = openBalance(definition, balances.slice(0, 1), 20);
    expect(single).toMatchObject({ severity: "warning", about: ["C1"] });
    expect(single.advice).toMatch(/^Measure the bead again/);
  });

  test("is an error only where most coupons are off beyond what measuring explains", () => {
    const wild = balanced(Array.from({ length: 6 }, (_, i) => bead(`C${i}`, { fullness: 0.02 })));
    expect(openBalance(definition, wild, 8).severity).toBe("error");
    expect(openBalance(definition, wild, 20).severity).toBe("warning");
    const near = balanced(Array.from({ length: 6 }, (_, i) => bead(`C${i}`, { fullness: 0.43 })));
    expect(openBalance(definition, near, 8).severity).toBe("warning");
    // A bead that was laid is told, not one put together of medians.
    const beads = [0.3, 0.2, 0.1].map((fullness, i) => bead(`C${i}`, { fullness, width: 5 + i }));
    expect(describeBalance(balanced(beads))).toMatch(/ of 6\.00 x [\d.]+ mm \(fullness 0\.200,/);
    expect(listed(["A", "B", "C", "D", "E", "F"])).toBe("A, B, C, D, E, F");
  });
});

describe("scatter of repeats", () => {
  /** Heights at three settings, run in two blocks. */
  const heights = [6.1, 6.5, 6.4, 4.9, 5.4, 7, 7.3, 7.8];
  const runs = [1, 1, 1, 2, 2, 3, 3, 3];
  const days = ["a", "b", "b", "a", "b", "a", "a", "b"];
  const repeated = (values: readonly number[], blocks?: readonly string[]) =>
    values.map((value, i) =>
      coupon(`C${i}`, {
        settings: { current: 100 + runs[i]! },
        blocks: blocks === undefined ? {} : { day: blocks[i]! },
        measured: { bead_height: value },
      }),
    );

  test("is the residual of settings and blocks as R fits them, blocks of unequal size included", () => {
    // R 4: s <- factor(runs); b <- factor(days); sigma(lm(heights ~ s)) and sigma(lm(heights ~ s + b)).
    const [without] = pureErrors({ coupons: repeated(heights) });
    expect(without).toMatchObject({ settings: 3, coupons: 8, df: 5 });
    expectDigits(without!.sd, 0.32812599206199283, 12);
    const [within] = pureErrors({ coupons: repeated(heights, days) });
    expect(within).toMatchObject({ df: 4, shifts: 1 });
    expectDigits(within!.sd, 0.14142135623730878, 12);
  });

  test("a shift of a whole block or of a whole setting leaves it as it was; a unit scales it", () => {
    const shift = fc.double({ min: -3, max: 3, noNaN: true });
    const [own] = pureErrors({ coupons: repeated(heights, days) });
    fc.assert(
      fc.property(shift, shift, fc.double({ min: 0.01, max: 50, noNaN: true }), (day, setting, unit) => {
        const moved = heights.map((y, i) => y + (days[i] === "b" ? day : 0) + (runs[i] === 2 ? setting : 0));
        expectDigits(pureErrors({ coupons: repeated(moved, days) })[0]!.sd, own!.sd, 10);
        const scaled = pureErrors({ coupons: repeated(heights.map((y) => unit * y)) })[0]!;
        const [plain] = pureErrors({ coupons: repeated(heights) });
        expectDigits(scaled.sd, unit * plain!.sd, 10);
        expectDigits(scaled.cv, plain!.cv, 10);
      }),
    );
  });

  test("repeats are coupons of the same settings in the same part of a build, however they were typed", () => {
    const layer = (value: number) => ({ layer: { value, unit: "1" } });
    const coupons = [
      coupon("A", { settings: { current: 100, travel_speed: 180 }, context: layer(1) }),
      coupon("B", { settings: { travel_speed: 180, current: 100 } }),
      coupon("C", { settings: { current: 100, travel_speed: 180 }, context: layer(9) }),
      coupon("D", { settings: { current: 101, travel_speed: 180 } }),
      coupon("E", { settings: { current: 100, travel_speed: 180 }, context: layer(20) }),
    ];
    const groups = groupBySettings({ coupons }).map((group) => group.map(({ id }) => id).join(""));
    expect(groups).toEqual(["AB", "CE", "D"]);
    // Nothing measured twice at a setting: nothing to say.
    expect(pureErrors({ coupons: [bead("C1", { fullness: 0.7 })] })).toEqual([]);
  });
});
