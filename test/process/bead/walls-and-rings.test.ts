import { expect, test } from "vitest";
import {
  checkOverhang,
  checkSteadyLayers,
  GOLDEN_ANGLE,
  helixSlope,
  humpingRatio,
  linearMass,
  overhangAngle,
  overhangShift,
  ringTurn,
  seamAngle,
  wallLayerHeight,
  wallShape,
} from "../../../lib/process/index.js";
import { checkTable } from "../check-table.js";

const widths = { total: 5.8, effective: 5 };
const ring = ringTurn({ diameter: 60, beadWidth: 6, area: 7.53982, travelSpeed: 3 });

checkTable("wall with parabolic side lobes, computed by hand", [
  ["waviness, mm", () => wallShape(widths).waviness, 0.4],
  ["mean width, mm", () => wallShape(widths).meanWidth, 5.53333],
  ["usable share", () => wallShape(widths).usable, 0.862069],
  ["layer height, mm", () => wallLayerHeight(7.53982, widths), 1.36261],
  [
    "layer height if the clean width were taken",
    () => wallLayerHeight(7.53982, { total: 5, effective: 5 }),
    1.50796,
  ],
]);

checkTable("closed ring of 60 mm: Pappus and concentric edges, computed by hand", [
  ["length, mm", () => ring.length, 188.496],
  ["time, s", () => ring.time, 62.832],
  ["mass, g", () => linearMass(ring.volume, 7.85), 11.1567],
  ["inner edge", () => ring.innerShare, 1.11111],
  ["outer edge", () => ring.outerShare, 0.909091],
  ["helix slope, deg", () => helixSlope(60, 1.508), 0.4584],
  ["golden angle, deg", () => GOLDEN_ANGLE, 137.508],
]);

checkTable("overhang e = h tan(phi) for 1.5 mm layers, computed by hand", [
  ["15 deg", () => overhangShift(1.5, 15), 0.40192],
  ["25 deg", () => overhangShift(1.5, 25), 0.69946],
  ["30 deg", () => overhangShift(1.5, 30), 0.86603],
  ["45 deg", () => overhangShift(1.5, 45), 1.5],
  ["shift of a sixth of 6 mm", () => overhangAngle(1, 1.5), 33.69],
  ["pool of 4.38 by 5.17 mm against pi", () => Math.PI * humpingRatio(4.38, 5.17), 0.8472],
]);

test("seams turned by the golden angle keep apart and within a turn", () => {
  const seams = Array.from({ length: 12 }, (_, layer) => seamAngle(layer)).sort((a, b) => a - b);
  const gaps = seams.map((seam, i) => (i === 0 ? seam + 360 - seams[11]! : seam - seams[i - 1]!));
  expect(seams.every((seam) => seam >= 0 && seam < 360)).toBe(true);
  expect(Math.min(...gaps)).toBeGreaterThan(15);
  expect(seamAngle(3, 90)).toBe(270);
});

test("faults and cautions are told", () => {
  expect(() => wallShape({ total: 5, effective: 5.8 })).toThrow(/are they swapped/);
  expect(() => ringTurn({ diameter: 5, beadWidth: 6, area: 8, travelSpeed: 3 })).toThrow(/ring diameter/);
  expect(checkSteadyLayers([1, 2, 4, 5]).map(({ code }) => code)).toEqual(["first-layers-mixed"]);
  expect(checkSteadyLayers([4, 5, 6])).toEqual([]);
  expect(checkSteadyLayers([1, 2, 3])).toEqual([]);
  expect(checkOverhang(20)).toEqual([]);
  expect(checkOverhang(40)[0]!.message).toMatch(/40 deg from the vertical/);
});
