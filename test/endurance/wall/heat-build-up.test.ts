import { describe, expect, test } from "vitest";
import { heatBuildUp, type WallHeat } from "../../../lib/endurance/wall/heat-build-up.js";
import { fc } from "../../support/properties.js";

/** A stainless ring wall laid without a wait. */
const wall: WallHeat = {
  heatInput: 660,
  arcTime: 103,
  dwell: 0,
  thickness: 5.9,
  layerHeight: 1.73,
  conductivity: 0.028,
  volumetricHeat: 0.00477,
  surroundings: 20,
  surfaceLoss: 20,
  emissivity: 0.7,
  baseReturn: -0.6,
};

describe("the top of a wall laid without a change", () => {
  test("heats up to a temperature it keeps, and does not swing between hot and cold", () => {
    const temperatures = heatBuildUp(wall, 300).map(({ temperature }) => temperature);
    temperatures.slice(1).forEach((temperature, i) => {
      expect(temperature, `layer ${i + 2}`).toBeGreaterThan(temperatures[i]! - 1);
    });
    expect(temperatures.at(-1)! - temperatures.at(-2)!).toBeLessThan(1);
    expect(temperatures.at(-1)).toBeGreaterThan(300);
    expect(temperatures.at(-1)).toBeLessThan(1000);
  });

  test("settles, for layers laid ever finer, at the temperature of a steady source that climbs a fin", () => {
    // A plane source q climbing at v, top insulated, faces losing h each, with the wall below long since cold:
    // k T'' + v rho c T' = 2 h T / g and the source's flux at the top give T - T0 = 2 q/g / (v rho c + sqrt((v rho c)^2 + 8 k h/g)).
    const [v, c, k, g, h] = [1.73 / 103, 0.00477, 0.028, 5.9, 20e-6];
    const flux = 660 / 103 / g;
    const steady = (2 * flux) / (v * c + Math.sqrt((v * c) ** 2 + (8 * k * h) / g));
    const error = (finer: number): number => {
      const fine = { heatInput: 660 / finer, arcTime: 103 / finer, layerHeight: 1.73 / finer };
      const layers = Math.round(90 * finer);
      const { temperature } = heatBuildUp({ ...wall, ...fine, emissivity: 0, baseReturn: 0 }, layers).at(-1)!;
      return Math.abs(temperature - 20 - steady) / steady;
    };
    expect(error(16)).toBeLessThan(error(4));
    expect(error(16)).toBeLessThan(0.15);
  });

  test("is never cooler with more heat, nor with less emissivity", () => {
    fc.assert(
      fc.property(
        fc.double({ min: 200, max: 900, noNaN: true }),
        fc.double({ min: 0, max: 0.9, noNaN: true }),
        (heat, emissivity) => {
          const last = (one: WallHeat): number => heatBuildUp(one, 40).at(-1)!.temperature;
          const own = last({ ...wall, heatInput: heat, emissivity });
          expect(last({ ...wall, heatInput: heat * 1.1, emissivity })).toBeGreaterThan(own - 0.5);
          expect(last({ ...wall, heatInput: heat, emissivity: emissivity + 0.1 })).toBeLessThan(own + 0.5);
        },
      ),
      { numRuns: 20 },
    );
  });
});
