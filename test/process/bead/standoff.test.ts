import { expect, test } from "vitest";
import {
  correctionInterval,
  driftHalfLife,
  driftRegime,
  layersToTouch,
  settledStandoff,
  standoffAfter,
  standoffSpread,
  voltageHeightResolution,
} from "../../../lib/process/index.js";
import { expectDigits } from "../../support/digits.js";
import { fc } from "../../support/properties.js";
import { checkTable } from "../check-table.js";

const law = { growth: 1.5, at: 3, slope: 0.1 };

checkTable("the recursion s[n+1] = s[n] + dz - h(s[n]), computed step by step", [
  ["layers to touch", () => layersToTouch({ start: 3, least: 0.5, growth: 1.5, rise: 1.4 })!, 25, 15],
  ["settled stand-off, mm", () => settledStandoff(law, 1.6), 4],
  ["after ten layers, mm", () => standoffAfter({ law, start: 3, rise: 1.6, layers: 10 }), 3.65132],
  ["half-life, layers", () => driftHalfLife(0.1)!, 6.5788],
  [
    "running away, 20 layers at +0.1",
    () => standoffAfter({ law: { ...law, slope: -0.05 }, start: 3, rise: 1.6, layers: 20 }),
    6.3066,
  ],
  [
    "without feedback, 20 layers at +0.1",
    () => standoffAfter({ law: { ...law, slope: 0 }, start: 3, rise: 1.6, layers: 20 }),
    5,
  ],
  ["random walk of 0.1 mm, 50 layers", () => standoffSpread(0.1, 0, 50), Math.sqrt(50) / 10, 12],
  ["settled spread at kappa 0.1", () => standoffSpread(0.1, 0.1, 10_000), 0.22942],
  ["height seen by 0.1 V at 0.8 V/mm", () => voltageHeightResolution(0.1, 0.8), 0.125],
]);

test("standoffAfter is the recursion, whatever the law", () => {
  fc.assert(
    fc.property(
      fc.double({ min: -0.2, max: 1.8, noNaN: true }),
      fc.double({ min: 1, max: 6, noNaN: true }),
      fc.double({ min: 0.8, max: 2.5, noNaN: true }),
      fc.integer({ min: 0, max: 40 }),
      (slope, start, rise, layers) => {
        fc.pre(slope === 0 || Math.abs(slope) > 1e-6);
        let s = start;
        for (let n = 0; n < layers; n++) s += rise - (law.growth + slope * (s - law.at));
        expect(Math.abs(standoffAfter({ law: { ...law, slope }, start, rise, layers }) - s)).toBeLessThan(
          1e-8 * Math.max(1, Math.abs(s)),
        );
      },
    ),
  );
});

test("the spread is that of the simulated recursion's variance", () => {
  let variance = 0;
  for (let n = 1; n <= 30; n++) {
    variance = (1 - 0.25) ** 2 * variance + 0.08 ** 2;
    expectDigits(standoffSpread(0.08, 0.25, n), Math.sqrt(variance), 12);
  }
});

test("regimes by the sign and size of the slope", () => {
  expect([-0.05, 0, 0.3, 1, 1.5, 2, 2.5].map(driftRegime)).toEqual([
    "runs-away",
    "neutral",
    "settles",
    "settles",
    "swings",
    "runs-away",
    "runs-away",
  ]);
  expect(driftHalfLife(-0.1)).toBeNull();
  expect(layersToTouch({ start: 3, least: 0.5, growth: 1.5, rise: 1.5 })).toBeNull();
  expect(() => settledStandoff({ ...law, slope: 0 }, 1.6)).toThrow(/none at which it settles/);
});

test("corrections come often enough to keep two sd of the walk within the margin", () => {
  fc.assert(
    fc.property(
      fc.double({ min: 0.3, max: 3, noNaN: true }),
      fc.double({ min: 0.02, max: 0.14, noNaN: true }),
      (margin, sd) => {
        const interval = correctionInterval(margin, sd);
        expect(2 * standoffSpread(sd, 0, interval)).toBeLessThanOrEqual(margin * (1 + 1e-6));
        expect(2 * standoffSpread(sd, 0, interval + 1)).toBeGreaterThan(margin * (1 - 1e-6));
      },
    ),
  );
});
