import { readFileSync } from "node:fs";
import { describe, expect, test } from "vitest";
import { scaledBesselK0 } from "../../../lib/process/heat/bessel.js";
import {
  checkCoolingTime,
  checkLump,
  coolingRate,
  coolingTime,
  diffusionTime,
  fastThickWidth,
  fastThinWidth,
  heatedZoneWidth,
  type MovingSource,
  operatingParameter,
  peakTemperature,
  thickPlatePool,
  thickPlateTemperature,
  thinPlatePool,
  thinPlateTemperature,
  wallResistance,
} from "../../../lib/process/index.js";
import { expectDigits } from "../../support/digits.js";
import { checkTable } from "../check-table.js";

interface Fixture {
  readonly source: string;
  readonly besselK0Scaled: readonly (readonly [number, number])[];
  readonly pools: readonly {
    readonly netPower: number;
    readonly travelSpeed: number;
    readonly conductivity: number;
    readonly volumetricHeat: number;
    readonly thickness: number | null;
    readonly rise: number;
    readonly width: number;
    readonly behind: number;
  }[];
  readonly widthRatios: readonly { readonly n: number; readonly ratio: number }[];
}

const fixture: Fixture = JSON.parse(
  readFileSync(new URL("../fixtures/rosenthal.json", import.meta.url), "utf8"),
);

const source: MovingSource = {
  netPower: 1206,
  travelSpeed: 3,
  conductivity: 0.03,
  volumetricHeat: 0.0052,
  startTemperature: 20,
};

describe(`against ${fixture.source}`, () => {
  test.each(fixture.besselK0Scaled)("scaled K0 at %d", (z, expected) => {
    expectDigits(scaledBesselK0(z), expected, 12);
  });

  test.each(fixture.pools)("pool of $netPower W at $travelSpeed mm/s, thickness $thickness", (pool) => {
    const moving = { ...pool, startTemperature: 20 };
    const size =
      pool.thickness === null
        ? thickPlatePool(moving, 20 + pool.rise)
        : thinPlatePool(moving, pool.thickness, 20 + pool.rise);
    expectDigits(size.width, pool.width, 8);
    expectDigits(size.behind, pool.behind, 8);
  });

  test.each(fixture.widthRatios)("width over its fast limit at n = $n", ({ n, ratio }) => {
    const unit = operatingParameter(source, 1480) / source.netPower;
    const moving = { ...source, netPower: n / unit };
    expectDigits(thickPlatePool(moving, 1480).width / fastThickWidth(moving, 1480), ratio, 8);
  });
});

checkTable(
  "Christensen, Davies and Gjermundsen 1965: width over its fast limit, by two independent solvers",
  [
    ...(
      [
        [0.1, 0.338],
        [0.5, 0.602],
        [1, 0.715],
        [2, 0.811],
        [5, 0.901],
        [10, 0.944],
        [30, 0.979],
        [100, 0.993],
      ] as const
    ).map(
      ([n, ratio]) =>
        [
          `n = ${n}`,
          () => {
            const moving = { ...source, netPower: (n / operatingParameter(source, 1480)) * source.netPower };
            return thickPlatePool(moving, 1480).width / fastThickWidth(moving, 1480);
          },
          ratio,
          2.8,
        ] as const,
    ),
  ],
);

checkTable("Rosenthal 1946, 1206 W at 3 mm/s, two methods agreeing", [
  ["width on a thick plate, mm", () => thickPlatePool(source, 1480).width, 5.1747],
  ["fast limit, mm", () => fastThickWidth(source, 1480), 7.043],
  ["operating parameter", () => operatingParameter(source, 1480), 1.14, 2.5],
  ["length behind, mm", () => thickPlatePool(source, 1480).behind, 4.3822],
  ["fast limit on 5 mm, mm", () => fastThinWidth(source, 5, 1480), 5.125],
  ["10 mm behind, degC", () => thickPlateTemperature(source, { along: -10, across: 0, depth: 0 }), 659.8],
]);

test("the edge of each pool is at the melt temperature, its length does not depend on speed when thick", () => {
  const thick = thickPlatePool(source, 1480);
  for (const along of [-thick.behind, thick.ahead]) {
    expectDigits(thickPlateTemperature(source, { along, across: 0, depth: 0 }), 1480, 8);
  }
  const thin = thinPlatePool(source, 5, 1480);
  for (const along of [-thin.behind, thin.ahead]) {
    expectDigits(thinPlateTemperature(source, 5, { along, across: 0 }), 1480, 8);
  }
  expectDigits(thickPlatePool({ ...source, travelSpeed: 12 }, 1480).behind, thick.behind, 12);
});

test("fast sources reach their width limits", () => {
  const fast = { ...source, netPower: 60000, travelSpeed: 200 };
  expectDigits(thickPlatePool(fast, 1480).width, fastThickWidth(fast, 1480), 2.5);
  expectDigits(thinPlatePool(fast, 1, 1480).width, fastThinWidth(fast, 1, 1480), 2.5);
});

test("a plate too thick to melt through is refused", () => {
  expect(() => thinPlatePool({ ...source, netPower: 100 }, 200, 1480)).toThrow(
    /100 W cannot melt a plate of 200 mm/,
  );
  expect(() => thickPlatePool(source, 10)).toThrow(/melt temperature must be above 20/);
});

const plate = {
  heatInput: 720,
  thickness: 5,
  volumetricHeat: 0.0044,
  startTemperature: 25,
  meltTemperature: 1510,
};

checkTable("AWS Welding Handbook vol. 1, heat flow example, 5 mm plate, 720 J/mm", [
  ["peak at 1.5 mm, degC (print: 1184)", () => peakTemperature(plate, 1.5), 1184],
  ["peak at 3 mm, degC (print: 976)", () => peakTemperature(plate, 3), 976, 3],
  ["distance to 730 degC, mm (print: 5.9)", () => heatedZoneWidth(plate, 730), 5.9],
]);

const bead = { ...plate, conductivity: 0.028 };

checkTable("AWS Welding Handbook vol. 1, cooling rate at 550 degC of the same bead", [
  ["thick, K/s", () => coolingRate(bead, 550).thick, 67.35],
  ["thin, K/s", () => coolingRate(bead, 550).thin, 5.402],
  ["relative thickness", () => coolingRate(bead, 550).relativeThickness, 0.2832, 3.5],
  ["thin governs", () => coolingRate(bead, 550).rate, 5.402],
]);

const t85 = (heatInput: number, startTemperature: number, thickness: number) =>
  coolingTime({ heatInput, startTemperature, thickness });

checkTable("EN 1011-2 Annex D, formulas 3.1 and 3.2 of the SSAB Welding Handbook, computed by hand", [
  ["1.0 kJ/mm, 20 degC, 10 mm: 3-D", () => t85(1000, 20, 10).threeDimensional, 5.2885],
  ["1.0 kJ/mm, 20 degC, 10 mm: 2-D", () => t85(1000, 20, 10).twoDimensional, 11.3636],
  ["1.0 kJ/mm, 20 degC: transition", () => t85(1000, 20, 10).transitionThickness, 14.659],
  ["1.0 kJ/mm, 20 degC, 10 mm: governs", () => t85(1000, 20, 10).seconds, 11.3636],
  ["1.0 kJ/mm, 150 degC, 10 mm: 3-D", () => t85(1000, 150, 10).threeDimensional, 7.846],
  ["1.0 kJ/mm, 150 degC, 10 mm: 2-D", () => t85(1000, 150, 10).twoDimensional, 21.186],
  ["1.0 kJ/mm, 150 degC: transition", () => t85(1000, 150, 10).transitionThickness, 16.432],
  ["0.4 kJ/mm, 200 degC, 6 mm: 3-D", () => t85(400, 200, 6).threeDimensional, 3.8],
  ["0.4 kJ/mm, 200 degC, 6 mm: 2-D", () => t85(400, 200, 6).twoDimensional, 12.741],
  ["0.4 kJ/mm, 200 degC: transition", () => t85(400, 200, 6).transitionThickness, 10.986],
]);

test("the two cooling-time formulas meet at the transition thickness", () => {
  const { transitionThickness } = t85(900, 80, 10);
  const there = t85(900, 80, transitionThickness);
  expectDigits(there.twoDimensional, there.threeDimensional, 12);
  expect(t85(900, 80, 1.2 * transitionThickness).regime).toBe("three-dimensional");
});

test("the cooling time warns where it does not hold", () => {
  expect(checkCoolingTime("carbon steel", "plate")).toEqual([]);
  expect(checkCoolingTime("aluminium", "wall").map(({ code }) => code)).toEqual([
    "cooling-time-alloy",
    "cooling-time-wall",
  ]);
  expect(() => t85(1000, 520, 10)).toThrow(/interpass temperature must be .*below 500 degC/);
});

checkTable("heat through a tall wall, computed by hand (a = 0.03/0.0052 mm2/s)", [
  ["resistance, K/W", () => wallResistance({ height: 50, thickness: 5, length: 100 }, 0.03), 3.33333],
  ["diffusion over 50 mm, s", () => diffusionTime(50, 0.03 / 0.0052), 175.62],
  ["diffusion over 100 mm, s", () => diffusionTime(100, 0.03 / 0.0052), 702.5],
]);

test("a thin wall is one lump, a thick stainless block under strong cooling is not", () => {
  expect(checkLump(5, 0.028)).toEqual([]);
  expect(checkLump(150, 0.015, 30).map(({ code }) => code)).toEqual(["not-a-lump"]);
});
