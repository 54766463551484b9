import { expect, test } from "vitest";
import { fitDrift } from "../../../lib/models/standoff/index.js";

const log = (rise: number, layer = (i: number): number => i) =>
  Array.from({ length: 20 }, (_, i) => ({ layer: layer(i + 1), standoff: 3 + 0.05 * Math.sin(7 * i), rise }));

test("layers no arc lays and layers that are not counted are refused in words", () => {
  expect(() => fitDrift(log(-1.5), { gaugeSd: 0.05 })).toThrow(
    /layers come out -1.50 mm high, where an arc lays 0.5 to 5 mm: check sign and unit/,
  );
  expect(() => fitDrift(log(15), { gaugeSd: 0.05 })).toThrow(/layers come out 15.00 mm high/);
  expect(() =>
    fitDrift(
      log(1.5, (i) => i + 0.5),
      { gaugeSd: 0.05 },
    ),
  ).toThrow(/layers are counted in whole numbers, got 1.5/);
  expect(Math.abs(fitDrift(log(1.5), { gaugeSd: 0.05 }).growth[0]!.estimate - 1.5)).toBeLessThan(0.05);
});
