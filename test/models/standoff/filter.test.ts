import { readFileSync } from "node:fs";
import { describe, expect, test } from "vitest";
import { filterSeries } from "../../../lib/models/standoff/filter.js";
import { stationSeries } from "../../../lib/models/standoff/layer-log.js";
import type { RigTraits } from "../../../lib/models/standoff/traits.js";
import { randomStream } from "../../../lib/numeric/index.js";
import { expectDigits } from "../../support/digits.js";

interface Case {
  readonly traits: RigTraits;
  readonly gauge: number;
  readonly reference: number;
  readonly rise: readonly number[];
  readonly standoff: readonly (number | null)[];
  readonly logLikelihood: number;
  readonly mean: readonly number[];
  readonly covariance: readonly number[];
}
const fixture: { readonly source: string; readonly cases: readonly Case[] } = JSON.parse(
  readFileSync(new URL("fixtures/dense.json", import.meta.url), "utf8"),
);
const growth = { mean: 2, sd: 5 };

describe("filterSeries", () => {
  test.each(fixture.cases)(`is the joint normal of dense matrices, ${fixture.source}: $traits`, (one) => {
    const series = { station: "", firstLayer: 1, standoff: one.standoff, rise: one.rise };
    const settings = { gaugeVariance: one.gauge ** 2, reference: one.reference, growth };
    const got = filterSeries(series, one.traits, settings);
    expect(Math.abs(got.logLikelihood - one.logLikelihood)).toBeLessThan(1e-8);
    one.mean.forEach((value, i) => {
      expect(Math.abs(got.mean[i]! - value), `mean ${i}`).toBeLessThan(1e-9);
    });
    one.covariance.forEach((value, i) => {
      expect(Math.abs(got.covariance[i]! - value), `covariance ${i}`).toBeLessThan(1e-10);
    });
    // A very long reach is a straight law.
    const bent = filterSeries(series, { ...one.traits, reach: 1e7 }, settings);
    expectDigits(bent.logLikelihood, got.logLikelihood, 7, "bent law");
  });

  test("stays finite with variances that are none below 0 over thousands of layers and long gaps", () => {
    const random = randomStream(1);
    const standoff = Array.from({ length: 3000 }, (_, i) =>
      i % 500 > 400 ? null : 3 + 0.1 * random.normal(),
    );
    for (const slope of [-0.3, -0.05, 0, 0.2, 1, 1.9]) {
      for (const change of [null, { mean: -0.005, sd: 0.01, time: 30 }]) {
        const traits = { ...fixture.cases[0]!.traits, slope, change, growthWalk: 0.01 };
        const got = filterSeries(
          { station: "", firstLayer: 1, standoff, rise: standoff.map(() => 1.5) },
          traits,
          { gaugeVariance: 0.01, reference: 3, growth },
        );
        expect(Number.isFinite(got.logLikelihood)).toBe(true);
        for (const i of [0, 2, 5, 9]) expect(got.covariance[i]).toBeGreaterThanOrEqual(0);
      }
    }
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
    ["too few", log([1, 2, 3, 4]), /has 4 measured layers .* at least 5/],
    ["a stand-off of 90 mm", [{ layer: 5, standoff: 90, rise: 1.5 }], /stand-off before layer 5 must be/],
  ])("refuses %s", (_what, readings, message) => {
    expect(() => stationSeries(readings, 0)).toThrow(message);
  });
});
