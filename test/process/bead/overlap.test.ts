import { expect, test } from "vitest";
import {
  beadsAcross,
  checkSpacing,
  flatTopSpacing,
  meanLayerHeight,
  overlapOf,
  sectionArea,
  tangentSpacingRatio,
} from "../../../lib/process/index.js";
import { expectDigits } from "../../support/digits.js";
import { fc } from "../../support/properties.js";
import { checkTable } from "../check-table.js";

const size = { width: 6, height: 2 };
const spacing = tangentSpacingRatio() * 6;

checkTable("Suryakumar and others, Computer-Aided Design 43 (2011) 331: equal area under a flat top", [
  ["parabola, over the width", () => flatTopSpacing("parabola", size) / 6, 2 / 3],
  ["cosine, over the width", () => flatTopSpacing("cosine", size) / 6, 0.63662],
  ["half ellipse, over the width", () => flatTopSpacing("half-ellipse", size) / 6, 0.785398],
]);

checkTable("Ding, Pan, Cuiuri and Li, Robot. Comput.-Integr. Manuf. 31 (2015) 101: tangent overlap 0.738 w", [
  ["root", () => tangentSpacingRatio(), 0.738, 3],
  ["root, to the digits of an independent solver", () => tangentSpacingRatio(), 0.7378432588978606, 12],
  [
    "mean layer height over bead height",
    () => meanLayerHeight(sectionArea("parabola", size), spacing) / 2,
    0.90354,
  ],
  ["valley depth over bead height", () => overlapOf(size, spacing).valleyDepth / 2, 0.54441],
]);

test("overlap area is what the lens between two parabolas integrates to", () => {
  fc.assert(
    fc.property(
      fc.double({ min: 2, max: 12, noNaN: true }),
      fc.double({ min: 0.3, max: 4, noNaN: true }),
      fc.double({ min: 0.4, max: 0.97, noNaN: true }),
      (width, height, ratio) => {
        const d = ratio * width;
        const steps = 2000;
        let lens = 0;
        for (let i = 0; i < steps; i++) {
          const x = d / 2 + ((width - d) / 2) * ((i + 0.5) / steps);
          lens += height * (1 - (2 * x) ** 2 / width ** 2) * ((width - d) / 2 / steps) * 2;
        }
        expectDigits(overlapOf({ width, height }, d).overlapArea, lens, 4);
      },
    ),
    { numRuns: 30 },
  );
});

test("beadsAcross covers the width edge to edge at no more than the wanted spacing", () => {
  expect(beadsAcross(50, 6, 4.428).count).toBe(11);
  expectDigits(beadsAcross(50, 6, 4.428).spacing, 4.4, 12);
  expect(beadsAcross(6, 6, 4)).toEqual({ count: 1, spacing: 0 });
  fc.assert(
    fc.property(
      fc.double({ min: 1, max: 10, noNaN: true }),
      fc.double({ min: 0.1, max: 200, noNaN: true }),
      fc.double({ min: 0.5, max: 10, noNaN: true }),
      (width, more, d) => {
        const { count, spacing: real } = beadsAcross(width + more, width, d);
        expectDigits((count - 1) * real + width, width + more, 10);
        expect(real).toBeLessThanOrEqual(d * (1 + 1e-8));
      },
    ),
  );
  expect(() => beadsAcross(4, 6, 4)).toThrow(/width to cover must be at least 6 mm/);
});

test("checkSpacing tells level, climbing and separate beads apart", () => {
  expect(checkSpacing(6, 4.5)).toEqual([]);
  expect(checkSpacing(6, spacing)).toEqual([]);
  expect(checkSpacing(6, 4.2).map(({ code }) => code)).toEqual(["beads-climb"]);
  expect(checkSpacing(6, 6.5).map(({ code }) => code)).toEqual(["beads-apart"]);
});
