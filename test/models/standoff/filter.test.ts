import { readFileSync } from "node:fs";
import { describe, expect, test } from "vitest";
import { filterSeries } from "../../../lib/models/standoff/filter.js";
import { stationSeries } from "../../../lib/models/standoff/layer-log.js";
import { expectDigits } from "../../support/digits.js";

interface Case {
  readonly kappa: number;
  readonly sigma: number;
  readonly gauge: number;
  readonly reference: number;
  readonly rise: readonly number[];
  readonly standoff: readonly (number | null)[];
  readonly loss: number;
  readonly growth: number;
  readonly growthVariance: number;
  readonly last: number;
  readonly lastVariance: number;
}
const fixture: { readonly source: string; readonly cases: readonly Case[] } = JSON.parse(
  readFileSync(new URL("fixtures/restricted.json", import.meta.url), "utf8"),
);

describe(`filterSeries against dense matrices, ${fixture.source}`, () => {
  test.each(fixture.cases)("kappa $kappa, sigma $sigma, gauge $gauge", (one) => {
    const series = {
      station: "",
      firstLayer: 1,
      standoff: one.standoff.map((value) => value ?? Number.NaN),
      rise: one.rise,
    };
    const got = filterSeries(series, one.kappa, one.sigma ** 2, one.gauge ** 2, one.reference);
    expectDigits(got.loss, one.loss, 9, "loss");
    expectDigits(got.growth, one.growth, 9, "growth");
    expectDigits(got.growthVariance, one.growthVariance, 9, "growth variance");
    expectDigits(got.offset + got.perGrowth * got.growth, one.last, 9, "last stand-off");
    expectDigits(got.variance + got.perGrowth ** 2 * got.growthVariance, one.lastVariance, 8, "its variance");
  });
});

describe("stationSeries", () => {
  const log = (layers: readonly number[], station?: string) =>
    layers.map((layer) => ({ layer, standoff: 3, rise: 1.5, ...(station === undefined ? {} : { station }) }));

  test("sorts by place and layer, leaves the first layers out and trims unmeasured ends", () => {
    const readings = [...log([3, 1, 2, 9, 8, 7, 6, 5, 4], "a"), ...log([4, 5, 6, 7, 8, 9, 10], "b")];
    const [a, b] = stationSeries([...readings, { layer: 11, standoff: null, rise: 1.5, station: "b" }]);
    expect([a!.station, a!.firstLayer, a!.standoff.length]).toEqual(["a", 4, 6]);
    expect([b!.station, b!.firstLayer, b!.standoff.length]).toEqual(["b", 4, 7]);
  });

  test.each([
    ["a gap", log([1, 2, 3, 5, 6, 7, 8, 9]), /lacks layers 4 to 4: log each layer's rise/],
    ["a repeat", log([1, 2, 2, 3, 4, 5, 6]), /has layer 2 twice; void one/],
    ["too few", log([1, 2, 3, 4]), /has 4 measured layers .* at least 6/],
    ["a stand-off of 90 mm", [{ layer: 5, standoff: 90, rise: 1.5 }], /stand-off before layer 5 must be/],
  ])("refuses %s", (_what, readings, message) => {
    expect(() => stationSeries(readings, 0)).toThrow(message);
  });
});
