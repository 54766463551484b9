import { describe, expect, test } from "vitest";
import {
  type ChartSpec,
  chartChanceProfiles,
  chartConformance,
  chartEffects,
  chartLayerLog,
  chartNormalQuantiles,
  chartPredicted,
  chartResiduals,
  chartResponse,
  chartStandoff,
  chartStations,
  chartTimeline,
  renderSvg,
} from "../../lib/charts/index.js";
import { frozen, inputs, samples } from "./samples.js";

const names = Object.keys(samples);

describe("every chart", () => {
  // renderSvg throws on any warning of the Vega-Lite compiler or of the Vega runtime.
  test.each(names)("%s compiles and draws without a warning, from frozen input", async (name) => {
    const svg = await renderSvg(frozen(samples[name]!()));
    expect(svg).toMatch(/^<svg role="img" aria-label="[^"]{20,}"/);
    expect(svg).not.toMatch(/NaN|undefined|Infinity|null/);
  });

  test.each(names)("%s is plain JSON, and the same for the same input", (name) => {
    const spec = samples[name]!();
    expect(JSON.parse(JSON.stringify(spec))).toEqual(spec);
    expect(samples[name]!()).toEqual(spec);
  });

  test("draws the same text alone and beside others", async () => {
    const together = await Promise.all(names.map((name) => renderSvg(samples[name]!())));
    for (const [i, name] of names.entries()) {
      expect((await renderSvg(samples[name]!())) === together[i], name).toBe(true);
    }
  });
});

describe("axes", () => {
  const titlesOf = (value: unknown): string[] =>
    typeof value !== "object" || value === null
      ? []
      : Object.entries(value).flatMap(([key, part]) =>
          (key === "x" || key === "y") && typeof part?.title === "string" ? [part.title] : titlesOf(part),
        );

  test("name the quantity in words with its unit", () => {
    expect(new Set(titlesOf(samples.response!()))).toEqual(
      new Set(["Current (A)", "Travel speed (mm/s)", "Wire feed speed (mm/s)", "Bead width (mm)"]),
    );
    expect(titlesOf(samples.standoff!())).toContain("Stand-off (mm)");
    expect(titlesOf(samples.effects!())).toContain("Exponent");
  });

  test("print degC as °C", async () => {
    expect(await renderSvg(samples["layer-log"]!())).toContain("Interpass temperature (°C)");
  });
});

describe("renderSvg", () => {
  test("refuses a misspelt channel instead of drawing something else", async () => {
    const spec = { ...samples.effects!(), layer: [{ mark: "point", encoding: { xx: { field: "low" } } }] };
    await expect(renderSvg(spec)).rejects.toMatchObject({ code: "bad-argument" });
  });

  test("puts the prefix before every id and every reference to one", async () => {
    const svg = await renderSvg(samples.correlations!(), { idPrefix: "fig7-" });
    const ids = [...svg.matchAll(/ id="([^"]+)"/g)].map((match) => match[1]!);
    const references = [...svg.matchAll(/url\(#([^)]+)\)/g)].map((match) => match[1]!);
    expect(ids.length).toBeGreaterThan(0);
    expect([...ids, ...references].filter((id) => !id.startsWith("fig7-"))).toEqual([]);
    expect(references.filter((id) => !ids.includes(id))).toEqual([]);
  });

  test("keeps markup in names out of the drawing", async () => {
    const effects = [{ name: "<script>alert(1)</script>", estimate: 1, low: 0, high: 2 }];
    const svg = await renderSvg(chartEffects({ ...inputs.effects, title: '"><script>', effects }));
    expect(svg).not.toContain("<script");
  });
});

describe("bad input", () => {
  test("a number that is not finite is refused with its place", () => {
    const coupons = inputs.predicted.coupons.map((row, i) =>
      i === 3 ? { ...row, predicted: Number.NaN } : row,
    );
    expect(() => chartPredicted({ ...inputs.predicted, coupons })).toThrow("coupons[3].predicted");
  });

  test("an empty list is refused", () => {
    expect(() => chartEffects({ ...inputs.effects, effects: [] })).toThrow("at least one of effects");
  });

  test("a level outside 0 to 1 is refused", () => {
    expect(() => chartEffects({ ...inputs.effects, level: 95 })).toThrow(
      "level must be above 0 and below 1, got 95",
    );
  });

  test("a change before a coupon that is not there is refused", () => {
    const changes = [{ before: "C99", what: "new spool" }];
    expect(() => chartTimeline({ ...inputs.timeline, changes })).toThrow("C99");
  });

  test("a map whose grid does not match is refused", () => {
    expect(() => chartConformance({ ...inputs.conformance, x: [1, 2, 3] })).toThrow("31 rows of 3");
    expect(() => chartConformance({ ...inputs.conformance, y: [...inputs.conformance.y].reverse() })).toThrow(
      "ascending",
    );
  });
});

describe("the least there can be still draws without a warning", () => {
  const width = { name: "bead_width", unit: "mm" };
  const map = inputs.conformance;
  const chance = (value: number | null) => map.chance.map((row) => row.map(() => value));
  const flat = { x: 1, fit: 5, meanLow: 5, meanHigh: 5, couponLow: 5, couponHigh: 5 };
  const one: Readonly<Record<string, () => ChartSpec>> = {
    "one coupon, exactly predicted": () =>
      chartPredicted({
        response: width,
        level: 0.95,
        coupons: [{ coupon: "C1", measured: 5, predicted: 5, low: 5, high: 5 }],
      }),
    "one residual of zero": () =>
      chartResiduals({
        response: width,
        limit: 1,
        residuals: [{ coupon: "C1", run: 1, residual: 0, block: "1" }],
      }),
    "three equal residuals": () =>
      chartNormalQuantiles({
        response: width,
        residuals: [1, 1, 1].map((residual) => ({ coupon: "C1", residual })),
      }),
    "one effect of zero": () =>
      chartEffects({ ...inputs.effects, effects: [{ name: "a", estimate: 0, low: 0, high: 0 }] }),
    "a map that is ruled out everywhere": () =>
      chartConformance({ ...map, coupons: [], chance: chance(null) }),
    "a map without any chance": () => chartConformance({ ...map, coupons: [], chance: chance(0) }),
    "a curve of one point without coupons": () =>
      chartResponse({
        response: width,
        level: 0.95,
        panels: [{ setting: width, curve: [flat], measured: [] }],
      }),
    "a profile without an allowed range": () =>
      chartChanceProfiles({
        level: 0.9,
        profiles: [{ setting: width, recommended: 1, curve: [{ x: 1, chance: 0.2 }] }],
      }),
    "a bead read once": () =>
      chartStations({
        response: width,
        position: { name: "station", unit: "1" },
        beads: [{ coupon: "C1", readings: [{ at: 1, value: 2, dropOut: false }] }],
      }),
    "one layer": () => chartLayerLog({ series: [{ quantity: width, readings: [{ layer: 1, value: 2 }] }] }),
    "one coupon on one day": () =>
      chartTimeline({ coupons: [{ coupon: "C1", block: "day 1", outcome: "passed" }] }),
  };

  test.each(Object.entries(one))("%s", async (_, make) => {
    expect(await renderSvg(make())).not.toMatch(/NaN|undefined|Infinity/);
  });
});

describe("chartConformance", () => {
  const grid = (chance: readonly (readonly (number | null)[])[]) =>
    chartConformance({ ...inputs.conformance, x: [0, 10, 20], y: [0, 1], chance, coupons: [] });
  const cellsOf = (spec: ReturnType<typeof grid>) =>
    (
      spec.layer as {
        data: { values: { x: number; x2: number; y: number; y2: number; chance: string }[] };
      }[]
    )[0]!.data.values;

  test("cells reach half-way to their neighbours and merge within a class", () => {
    const cells = cellsOf(
      grid([
        [0.2, 0.2, null],
        [0.9, 0.95, 1],
      ]),
    );
    expect(cells).toEqual([
      { x: -5, x2: 15, y: -0.5, y2: 0.5, chance: "10 to 25 %" },
      { x: 15, x2: 25, y: -0.5, y2: 0.5, chance: "ruled out by a limit" },
      { x: -5, x2: 5, y: 0.5, y2: 1.5, chance: "90 to 95 %" },
      { x: 5, x2: 15, y: 0.5, y2: 1.5, chance: "95 to 99 %" },
      { x: 15, x2: 25, y: 0.5, y2: 1.5, chance: "99 % and more" },
    ]);
  });

  test("cells cover the whole map once", () => {
    const cells = cellsOf(chartConformance(inputs.conformance));
    const area = cells.reduce((sum, cell) => sum + (cell.x2 - cell.x) * (cell.y2 - cell.y), 0);
    // 31 x 31 cells of 2 A x 0.1 mm/s.
    expect(Math.abs(area / (62 * 3.1) - 1)).toBeLessThan(1e-12);
  });

  test("a chance outside 0 to 1 is refused with its place", () => {
    expect(() =>
      grid([
        [0, 0, 0],
        [0, 1.2, 0],
      ]),
    ).toThrow("chance[1][1]");
  });
});

describe("descriptions say what is in the picture", () => {
  test("chartPredicted counts the coupons outside their interval", () => {
    const outside = inputs.predicted.coupons.filter(
      (row) => row.measured < row.low || row.measured > row.high,
    );
    expect(outside.length).toBeGreaterThan(0);
    expect(samples.predicted!().description).toContain(`32 coupons; ${outside.length} outside the 95 %`);
  });

  test("chartControl says when the rig shifted, and marks what was changed before", () => {
    expect(samples.control!().description).toMatch(
      /Control charts of bead_width over 20 readings: Shifted up by about 0\.\d+ since K14\./,
    );
    const text = JSON.stringify(samples.control!());
    expect(text).toContain('"change":"gas cylinder"');
    expect(text.match(/"beyond":true/g)!.length).toBeGreaterThan(5);
  });

  test("chartStandoff names the first layer whose band touches", () => {
    // 3 - 0.03 n - 1.645 * 0.16 * sqrt(n) = 0.5 at n = 32.4.
    expect(samples.standoff!().description).toContain("reaches a touch at layer 33");
  });

  test("chartStandoff draws nothing below the part and says what it cut off", () => {
    const forecast = [1, 2, 3].map((layer) => ({
      layer,
      expected: 2 - 1.2 * layer,
      low: 1 - 5 * layer,
      high: 3,
    }));
    const spec = chartStandoff({ name: "standoff", level: 0.9, touch: 0.5, forecast });
    const numbers = JSON.stringify(spec.layer).match(/"(?:low|expected|high)":-?[\d.]+/g)!;
    expect(Math.min(...numbers.map((text) => Number(text.split(":")[1])))).toBe(0);
    expect(JSON.stringify(spec.title)).toContain("Cut off at 0 mm from layer 1 on");
    expect(spec.description).toContain("What would lie below 0 mm is cut off from layer 1 on");
    const clear = chartStandoff({
      name: "standoff",
      level: 0.9,
      touch: 0.5,
      forecast: [{ layer: 1, expected: 2, low: 1, high: 3 }],
    });
    expect(JSON.stringify(clear)).not.toContain("ut off");
  });

  test.each([
    ["the line where it is too long, half as far again", 8, 12],
    ["the longest stand-off a log may hold", undefined, 60],
  ])("chartStandoff draws a run-away upwards as far as %s", (_, tooLong, ceiling) => {
    const forecast = Array.from({ length: 40 }, (_, i) => {
      const expected = 3 * Math.exp(0.15 * i);
      return { layer: i + 1, expected, low: 0.9 * expected, high: 1.1 * expected };
    });
    const spec = chartStandoff({
      name: "standoff",
      level: 0.9,
      touch: 0.5,
      ...(tooLong === undefined ? {} : { tooLong }),
      forecast,
    });
    const numbers = JSON.stringify(spec.layer).match(/"(?:low|expected|high)":-?[\d.]+/g)!;
    expect(Math.max(...numbers.map((text) => Number(text.split(":")[1])))).toBe(ceiling);
    const first = forecast.find(({ high }) => high > ceiling)!.layer;
    expect(spec.description).toContain(`above ${ceiling} mm is cut off from layer ${first} on`);
    expect(JSON.stringify(spec.title)).toContain(`Cut off at ${ceiling} mm from layer ${first} on`);
  });
});
