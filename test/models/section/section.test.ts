import { describe, expect, test } from "vitest";
import { fitSection, type SectionPoint, type SectionShape } from "../../../lib/models/section/index.js";
import { type RandomStream, randomStream } from "../../../lib/numeric/index.js";
import { sectionArea, sectionHeightAt, toeAngle } from "../../../lib/process/index.js";
import { expectDigits } from "../../support/digits.js";

const size = { width: 6, height: 2 };
type Plain = Exclude<SectionShape, "power">;

/** A bead on a base tilted by some degrees and 1.3 mm up, traced from 2.5 mm left to 2.5 mm right of it. */
function trace(shape: Plain, tilt: number, noise: number, random: RandomStream, count = 120): SectionPoint[] {
  const [c, s] = [Math.cos((tilt * Math.PI) / 180), Math.sin((tilt * Math.PI) / 180)];
  return Array.from({ length: count }, (_, i) => {
    const x = -5.5 + (11 * (i + 0.5)) / count;
    const y = sectionHeightAt(shape, size, x);
    return { x: 4 + x * c - y * s, y: 1.3 + x * s + y * c + noise * random.normal() };
  });
}

describe.each(["parabola", "circular-arc", "cosine", "half-ellipse"] as const)("%s", (shape) => {
  const area = sectionArea(shape, size);
  const fits = Array.from({ length: 6 }, (_, i) => fitSection(trace(shape, 2, 0.05, randomStream(70 + i))));

  test("width, height and area come back within 2 % from points with 0.05 mm noise on a base tilted 2 deg", () => {
    for (const fit of fits) {
      for (const [measure, truth] of [
        [fit.width, 6],
        [fit.height, 2],
        [fit.area, area],
      ] as const) {
        expect(Math.abs(measure.estimate / truth - 1)).toBeLessThan(0.02);
      }
      expect(Math.abs(fit.tilt - 2)).toBeLessThan(0.5);
      expect(Math.abs(fit.tracedArea / area - 1)).toBeLessThan(0.04);
    }
  });

  test("the outline is told from the others in most traces, with its toe angles", () => {
    const right = fits.filter((fit) => fit.shape === shape);
    expect(right.length).toBeGreaterThanOrEqual(4);
    const angle = right.reduce((sum, { toeAngles }) => sum + toeAngles.left.estimate, 0) / right.length;
    expect(Math.abs(angle - toeAngle(shape, size))).toBeLessThan(6);
  });
});

test("exact points of a levelled parabola give its size", () => {
  const points = Array.from({ length: 21 }, (_, i) => ({
    x: -3 + 0.3 * i,
    y: 2 * (1 - ((-3 + 0.3 * i) / 3) ** 2),
  }));
  const fit = fitSection(points, { base: "level", shapes: ["parabola"] });
  expectDigits(fit.width.estimate, 6, 4);
  expectDigits(fit.height.estimate, 2, 4);
  expectDigits(fit.area.estimate, 8, 4);
  expect(fit.tilt).toBe(0);
});

test("a lopsided bead shows its asymmetry and unlike toes, mirrored when the trace is", () => {
  const random = randomStream(9);
  const points = Array.from({ length: 121 }, (_, i) => {
    const x = -5 + i / 12;
    const reach = x < 0 ? 3.6 : 2.4;
    return { x, y: Math.max(0, 2 * (1 - (x / reach) ** 2)) + 0.03 * random.normal() };
  });
  const fit = fitSection(points, { gaugeSd: 0.03 });
  expect(Math.abs(fit.asymmetry.estimate - 0.1)).toBeLessThan(0.02);
  expect(fit.toeAngles.right.estimate).toBeGreaterThan(fit.toeAngles.left.estimate + 5);
  expect(fit.findings.map(({ code }) => code)).toEqual(["bead-lopsided"]);
  const mirrored = fitSection(points.map(({ x, y }) => ({ x: -x, y })));
  expectDigits(mirrored.asymmetry.estimate, -fit.asymmetry.estimate, 1.5);
  expectDigits(mirrored.width.estimate, fit.width.estimate, 2.5);
});

test("traces without base, or with few points, are refused with what to do", () => {
  const bare = Array.from({ length: 30 }, (_, i) => ({
    x: -2 + (4 * i) / 29,
    y: 2 * (1 - ((-2 + (4 * i) / 29) / 3) ** 2),
  }));
  expect(() => fitSection(bare, { toes: [-3, 3] })).toThrow(/points of the base left.*base: "level"/);
  expect(() => fitSection(bare.slice(0, 8))).toThrow(/at least 12 points, got 8/);
  expect(() => fitSection([...bare, { x: Number.NaN, y: 0 }])).toThrow(/x of point 31/);
});
describe("worked figures of the physics sheet, section 3", () => {
  test("points x = -2..2 on y = 2 (1 - (x/3)^2) are a parabola 6 mm wide and 2 mm high", () => {
    // Worked figure: least-squares parabola a = -0.222222, w = 6.0000, h = 2.0000; here on more points of the same curve.
    const points = Array.from({ length: 41 }, (_, i) => -2 + 0.1 * i).map((x) => ({
      x,
      y: 2 * (1 - (x / 3) ** 2),
    }));
    const fit = fitSection(points, { base: "level", toes: [-3, 3], shapes: ["parabola"] });
    expectDigits(fit.width.estimate, 6, 4);
    expectDigits(fit.height.estimate, 2, 4);
    expectDigits(-fit.height.estimate / (fit.width.estimate / 2) ** 2, -0.222222, 4);
  });

  test("a circular arc 6 mm wide and 2 mm high has radius 3.2500 mm and its centre 1.25 mm under the base", () => {
    // Worked figure of an algebraic circle fit (Kasa): R = 3.2500, centre (0, -1.25); R = (w^2/4 + h^2) / (2h).
    const points = Array.from({ length: 41 }, (_, i) => -2.8 + 0.14 * i).map((x) => ({
      x,
      y: Math.sqrt(3.25 ** 2 - x * x) - 1.25,
    }));
    const fit = fitSection(points, { base: "level", toes: [-3, 3], shapes: ["circular-arc"] });
    const radius = (fit.width.estimate ** 2 / 4 + fit.height.estimate ** 2) / (2 * fit.height.estimate);
    expectDigits(radius, 3.25, 4);
    expectDigits(fit.height.estimate - radius, -1.25, 4);
  });
});
