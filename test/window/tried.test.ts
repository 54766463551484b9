import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { makeAxes } from "../../lib/design/index.js";
import { makeTried, type TriedCoupon } from "../../lib/window/index.js";

const axes = makeAxes([
  { name: "current", unit: "A", low: 100, high: 200 },
  { name: "constructor", unit: "mm", low: 0, high: 1 },
  { name: "cup", unit: "1", kind: "category", levels: ["lens", "plain"] },
]);
const run = (coupon: string, current: number, other: number, cup = "lens"): TriedCoupon => ({
  coupon,
  settings: { current, constructor: other, cup },
  verdict: "passed",
});
const at = (current: number, other: number, cup = "lens") => ({ current, constructor: other, cup });

describe("where a setting lies", () => {
  const corner = makeTried(axes, [
    run("C1", 120, 0.2),
    run("C2", 180, 0.2),
    run("C3", 120, 0.8),
    run("C4", 120, 0.8),
  ]);

  test("is beyond the coupons in the factors that no coupon reached, with the range tried", () => {
    expect(corner(at(185, 0.5)).beyond).toEqual([{ factor: "current", tried: [120, 180] }]);
    expect(corner(at(150, 0.1)).beyond).toEqual([{ factor: "constructor", tried: [0.2, 0.8] }]);
    expect(corner(at(150, 0.3, "plain")).beyond).toEqual([{ factor: "cup", tried: ["lens"] }]);
    expect(corner(at(150, 0.3)).beyond).toEqual([]);
  });

  test("is among the coupons inside the triangle they make, its edges too, and not past it", () => {
    expect(corner(at(130, 0.3)).surrounded).toBe(true);
    expect(corner(at(150, 0.5)).surrounded).toBe(true);
    expect(corner(at(151, 0.51)).surrounded).toBe(false);
    expect(corner(at(120, 0.8)).surrounded).toBe(true);
    expect(corner(at(179, 0.79)).surrounded).toBe(false);
  });

  test("names the nearest coupon, in shares of the factors' ranges", () => {
    expect(corner(at(170, 0.3)).nearest?.coupon).toBe("C2");
    expect(corner(at(125, 0.75)).nearest?.coupon).toBe("C3");
    expect(makeTried(axes, [])(at(150, 0.5))).toEqual({
      beyond: [
        { factor: "current", tried: [] },
        { factor: "constructor", tried: [] },
        { factor: "cup", tried: [] },
      ],
      surrounded: false,
    });
  });

  test("is among the coupons for every mixture of theirs, and never where it is beyond them", () => {
    const share = fc.double({ min: 0, max: 1, noNaN: true });
    const places = fc.array(fc.tuple(share, share), { minLength: 1, maxLength: 12 });
    fc.assert(
      fc.property(places, fc.array(share, { minLength: 12, maxLength: 12 }), share, (rows, weights, far) => {
        const where = makeTried(
          axes,
          rows.map(([a, b], i) => run(`C${i}`, 100 + 100 * a, b)),
        );
        const own = rows.map((_, i) => weights[i]! + 1e-3);
        const total = own.reduce((sum, w) => sum + w, 0);
        const mix = (k: 0 | 1): number => rows.reduce((sum, row, i) => sum + (own[i]! / total) * row[k], 0);
        expect(where(at(100 + 100 * mix(0), mix(1))).surrounded).toBe(true);
        const found = where(at(100 + 100 * far, mix(1)));
        if (found.beyond.length > 0) expect(found.surrounded).toBe(false);
      }),
    );
  });
});
