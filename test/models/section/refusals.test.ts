import { expect, test } from "vitest";
import { fitSection } from "../../../lib/models/section/index.js";

/** A parabola 6 mm wide and 2 mm high, traced with base on both sides. */
const bead = Array.from({ length: 81 }, (_, i) => {
  const x = -4 + 0.1 * i;
  return { x, y: Math.max(0, 2 * (1 - (x / 3) ** 2)) };
});

test("points in another unit, on one spot or upside down are refused in words", () => {
  expect(() => fitSection(bead.map(({ x, y }) => ({ x: 1000 * x, y: 1000 * y })))).toThrow(
    /reach over 8000 mm across, where a bead is 2 to 30 mm wide: .*micrometres/,
  );
  expect(() => fitSection(bead.map(({ y }) => ({ x: 1, y })))).toThrow(/reach over 0 mm across/);
  expect(() => fitSection(bead.map(({ x, y }) => ({ x, y: -y })))).toThrow(
    /no bead stands on the base: give y upwards/,
  );
  expect(() => fitSection(bead.map(({ x }) => ({ x, y: 0.1 })))).toThrow(/no bead stands on the base/);
  expect(fitSection(bead).shape).toBe("parabola");
});
