import { describe, expect, test } from "vitest";
import { physicalCentre, studyCoordinates, toCoordinates } from "../../../lib/models/outcome/coordinates.js";
import { expectDigits } from "../../support/digits.js";
import { tigDefinition } from "../../support/studies.js";

const definition = tigDefinition({
  factors: [
    { name: "travel_speed", unit: "mm/min", low: 100, high: 400 },
    { name: "interpass_temperature", unit: "degC", low: 50, high: 150 },
    { name: "torch_tilt", unit: "deg", low: -10, high: 20 },
    { name: "gas", kind: "category", levels: ["argon", "argon_helium"] },
  ],
});
const axes = studyCoordinates(definition);
const at = (travel_speed: number, interpass_temperature: number, torch_tilt: number, gas: string) =>
  toCoordinates(axes, { travel_speed, interpass_temperature, torch_tilt, gas });

describe("toCoordinates", () => {
  test("is 0 in the middle of every range, in proportion for positive settings of the physics", () => {
    // The geometric middle of 100 and 400 is 200; a temperature in degC has no ratio.
    Array.from(at(200, 100, 5, "argon")).forEach((value, j) => {
      expect(Math.abs(value - [0, 0, 0, 1, 0][j]!)).toBeLessThan(1e-12);
    });
  });

  test("is half the range away at its ends: ln 2 for a range of 1 to 4, else 1", () => {
    const top = at(400, 150, 20, "argon_helium");
    const bottom = at(100, 50, -10, "argon");
    [Math.log(2), 1, 1].forEach((half, j) => {
      expectDigits(axes[j]!.half, half, 12);
      expectDigits(top[j]!, half, 12);
      expectDigits(bottom[j]!, -half, 12);
    });
    expect(Array.from(top.slice(3))).toEqual([0, 1]);
    expect(Array.from(bottom.slice(3))).toEqual([1, 0]);
  });

  test("refuses a setting that is missing, no number, or has no logarithm, with what is due", () => {
    expect(() => at(0, 100, 5, "argon")).toThrow(/travel_speed must be a number above 0, got 0/);
    expect(() => at(Number.POSITIVE_INFINITY, 100, 5, "argon")).toThrow(/travel_speed/);
    expect(() => at(200, Number.NaN, 5, "argon")).toThrow(/interpass_temperature must be a number, got/);
    expect(() => toCoordinates(axes, { travel_speed: 200 })).toThrow(/interpass_temperature/);
    expect(Array.from(at(200, 100, -40, "argon")).slice(2, 3)).toEqual([-3]);
  });
});

test("physicalCentre is the middle in the unit of the physics", () => {
  // 200 mm/min are 10/3 mm/s.
  expectDigits(physicalCentre(axes[0]!, "mm/min"), Math.log(10 / 3), 12);
});
