import { describe, expect, test } from "vitest";
import {
  type BeadShape,
  beadShapes,
  capillaryLength,
  checkWetting,
  fullness,
  heightForArea,
  sectionArea,
  sectionHeightAt,
  toeAngle,
} from "../../../lib/process/index.js";
import { expectDigits } from "../../support/digits.js";
import { fc } from "../../support/properties.js";
import { checkTable } from "../check-table.js";

const size = { width: 6, height: 2 };
const area = (shape: BeadShape) => () => sectionArea(shape, size);
const toe = (shape: BeadShape) => () => toeAngle(shape, size);
const height = (shape: BeadShape) => () => heightForArea(shape, 7.539822, 6);

checkTable("plane geometry of a bead 6 mm wide and 2 mm high, computed independently", [
  ["parabola, area", area("parabola"), 8],
  ["parabola, toe angle", toe("parabola"), 53.13],
  ["circular arc, area", area("circular-arc"), 8.67155],
  ["circular arc, toe angle", toe("circular-arc"), 67.38],
  ["cosine, area", area("cosine"), 7.63944],
  ["cosine, toe angle", toe("cosine"), 46.321],
  ["half ellipse, area", area("half-ellipse"), 9.42478],
  ["raised cosine, area", area("raised-cosine"), 6],
  ["height for 7.54 mm2, parabola", height("parabola"), 1.88496],
  ["height for 7.54 mm2, circular arc", height("circular-arc"), 1.76769],
  ["height for 7.54 mm2, cosine", height("cosine"), 1.97392],
  ["height for 7.54 mm2, half ellipse", height("half-ellipse"), 1.6],
  ["arc fullness, semicircle", () => fullness("circular-arc", { width: 4, height: 2 }), Math.PI / 4],
  ["arc fullness, flat", () => fullness("circular-arc", { width: 100, height: 0.1 }), 2 / 3],
]);

checkTable("capillary length, computed independently with g = 9.81 m/s2", [
  ["steel", () => capillaryLength(1.7, 7), 4.976],
  ["aluminium", () => capillaryLength(0.9, 2.4), 6.183, 3],
]);

const sizes = fc.record({
  width: fc.double({ min: 1, max: 20, noNaN: true }),
  height: fc.double({ min: 0.2, max: 6, noNaN: true }),
});

describe.each(beadShapes)("%s", (shape) => {
  test("area is the integral of the outline while the bead does not overhang", () => {
    fc.assert(
      fc.property(sizes, ({ width, height: h }) => {
        const bead = { width, height: Math.min(h, 0.499 * width) };
        // Midpoint rule in the angle of a circle, which is exact enough at vertical toes.
        const steps = 4000;
        let sum = 0;
        for (let i = 0; i < steps; i++) {
          const angle = (Math.PI * (i + 0.5)) / steps;
          const x = (-width / 2) * Math.cos(angle);
          sum += sectionHeightAt(shape, bead, x) * (width / 2) * Math.sin(angle) * (Math.PI / steps);
        }
        expectDigits(sum, sectionArea(shape, bead), 5);
      }),
      { numRuns: 20 },
    );
  });

  test("heightForArea undoes sectionArea, overhanging beads included", () => {
    fc.assert(
      fc.property(sizes, (bead) => {
        expectDigits(heightForArea(shape, sectionArea(shape, bead), bead.width), bead.height, 10);
      }),
    );
  });

  test("toe angle is the slope of the outline at the toe", () => {
    const bead = { width: 6, height: 1.5 };
    const step = 1e-6;
    const slope = sectionHeightAt(shape, bead, -3 + step) / step;
    const degrees = (Math.atan(slope) * 180) / Math.PI;
    expect(Math.abs(degrees - toeAngle(shape, bead))).toBeLessThan(0.1);
  });

  test("has its height in the middle and none outside", () => {
    expectDigits(sectionHeightAt(shape, size, 0), 2, 14);
    expect(sectionHeightAt(shape, size, 3.01)).toBe(0);
  });
});

test("a circular bead higher than half its width is reported as balled", () => {
  expect(checkWetting("circular-arc", { width: 4, height: 1.9 })).toEqual([]);
  const [finding] = checkWetting("circular-arc", { width: 4, height: 2.5 });
  expect(finding?.code).toBe("bead-balled");
  expect(finding?.message).toContain("103 deg");
});

test("a bead of no width is refused", () => {
  expect(() => sectionArea("parabola", { width: 0, height: 2 })).toThrow(
    /bead width must be above 0 mm, got 0/,
  );
});
