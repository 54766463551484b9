import { describe, expect, test } from "vitest";
import { settlesText, type Wanted, wantedSizes, willSettleText } from "../../lib/cli/settles-text.js";
import { fc } from "../support/properties.js";
import { tigDefinition } from "../support/studies.js";

const wanted: Wanted = { response: "bead_width", unit: "mm", lower: 5.5, upper: 6.5, aim: 6, half: 0.5 };

describe("whether a specification is settled", () => {
  // Share of a normal distribution within k standard deviations: .6827, .9545 and .9973 (any table).
  test.each([
    [0.5, "not settled", "68 %"],
    [0.25, "settled", "95 %"],
    [0.5 / 3, "settled", "100 %"],
    [0.35, "nearly settled", "85 %"],
  ])("an error of %f mm is told as %s, %s within", (error, verdict, share) => {
    const text = settlesText(wanted, { response: "bead_width", error, scatter: 0.1 });
    expect(text).toContain(`bead_width, wanted 5.50 to 6.50 mm: ${verdict}.`);
    expect(text).toContain(`${share} would lie within`);
  });

  test("says whether coupons or the rig can mend it", () => {
    const few = settlesText(wanted, { response: "bead_width", error: 0.5, scatter: 0.2 });
    expect(few).toContain("More coupons can settle it");
    const rough = settlesText(wanted, { response: "bead_width", error: 0.5, scatter: 0.45 });
    expect(rough).toMatch(/More coupons alone cannot: .* 73 % at best; steady the rig/);
  });

  test("aims at the target, or the middle, and leaves open specifications out", () => {
    const definition = tigDefinition({
      responses: [
        { name: "bead_width", unit: "mm", spec: { lower: 5, upper: 7, target: 5.5 } },
        { name: "bead_height", unit: "mm", spec: { lower: 1.5, upper: 2.5 } },
        { name: "penetration", unit: "mm", spec: { lower: 1 } },
      ],
    });
    expect(wantedSizes(definition).map(({ response, aim, half }) => [response, aim, half])).toEqual([
      ["bead_width", 5.5, 0.5],
      ["bead_height", 2, 0.5],
    ]);
  });
});

describe("whether coupons to be run will settle it", () => {
  const told = (scatter: number, doubt: number, coupons: number) =>
    willSettleText(wanted, { scatter, doubt, coupons, known: "--sd" });

  test("enough, too few, and hopeless", () => {
    expect(told(0.2, 0.5, 12)).toMatch(/12 coupons are enough: .*within 0.44 mm/);
    expect(told(0.2, 1, 12)).toMatch(/12 coupons are not enough, about 20 placed alike would be/);
    expect(told(0.3, 1, 12)).toMatch(/more would hardly do.*steady the rig/);
  });

  test("as many coupons as it names are enough, one fewer are not", () => {
    fc.assert(
      fc.property(
        fc.double({ min: 0.05, max: 0.25, noNaN: true }),
        fc.double({ min: 0.2, max: 3, noNaN: true }),
        fc.integer({ min: 6, max: 40 }),
        (scatter, doubt, coupons) => {
          const named = /about (\d+) placed alike/.exec(told(scatter, doubt, coupons))?.[1];
          fc.pre(named !== undefined);
          // The standard error falls with the root of the number of coupons placed alike.
          const placed = (n: number) => told(scatter, doubt * Math.sqrt(coupons / n), n);
          expect(placed(Number(named))).toContain("are enough");
          expect(placed(Number(named) - 1)).toContain("are not enough");
        },
      ),
    );
  });
});
