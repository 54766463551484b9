import { describe, expect, test } from "vitest";
import {
  chartBuildTimeline,
  chartCoverage,
  chartGain,
  chartLearning,
  chartSuspects,
  coverageCounts,
  coverageOf,
  drawSuspects,
  gapsText,
  modelSuspects,
  renderSvg,
  showTable,
  suspectsOf,
} from "../../lib/charts/index.js";
import { checkStudy } from "../../lib/models/index.js";
import {
  couponTable,
  createDemoStudy,
  createStudy,
  demoDefinition,
  scratchFolder,
} from "../../lib/study/index.js";
import { studyInputs } from "./study-samples.js";

const demo = createDemoStudy();

test("names of a category that every object answers to are drawn as they are", async () => {
  const names = ["constructor", "__proto__", "toString", "then", 'a "b"'];
  const edges = [-0.5, 0.5, 1.5, 2.5, 3.5, 4.5];
  const pair = {
    x: { name: "gas", unit: "1", edges, names },
    places: names.map((name, x) => ({ x, y: 0, stage: "run" as const, coupons: [name] })),
    empty: [],
    barred: [],
  };
  const svg = await renderSvg(chartCoverage({ pairs: [pair] }), { width: 900 });
  for (const name of ["constructor", "__proto__", "toString", "then"]) expect(svg).toContain(name);
});

describe("coverageOf", () => {
  test("holds each coupon once in every pair of settings", () => {
    const { pairs, of } = coverageOf(demo);
    expect([pairs.length, of]).toEqual([6, 6]);
    const ids = demo.coupons.map(({ id }) => id).sort();
    for (const { places } of pairs) expect(places.flatMap(({ coupons }) => coupons).sort()).toEqual(ids);
  });

  test("counts by hand: a field is empty when no coupon that counts lies in its thirds", () => {
    const few = { ...demo, coupons: demo.coupons.filter((_, i) => i % 9 === 0) };
    const { pairs } = coverageOf(few);
    const [a, b] = demo.definition.factors;
    const third = (value: number, { low, high }: { low: number; high: number }): number =>
      Math.min(2, Math.floor((3 * (value - low)) / (high - low)));
    const held = new Set(
      few.coupons
        .filter(({ state }) => state !== "voided")
        .map(
          ({ settings }) => `${third(Number(settings[a!.name]), a!)}/${third(Number(settings[b!.name]), b!)}`,
        ),
    );
    const [first] = pairs;
    expect([first!.x.name, first!.y!.name]).toEqual([a!.name, b!.name]);
    const fields = [0, 1, 2].flatMap((i) => [0, 1, 2].map((j) => [i, j] as const));
    const open = fields.filter(([i, j]) => !held.has(`${i}/${j}`));
    expect([...first!.empty, ...first!.barred].map(String).sort()).toEqual(open.map(String).sort());
  });

  test("without a coupon every field that the limits leave is empty, and the text says so", () => {
    const { pairs } = coverageOf({ ...demo, coupons: [] });
    const { empty, fields } = coverageCounts(pairs);
    expect(empty).toBe(fields);
    expect(gapsText(pairs, 2)).toMatch(
      /^No coupon at current 90 to 120 A with travel speed .*, and \d+ fields more\.$/,
    );
  });

  test("a voided coupon fills nothing", () => {
    const voided = {
      ...demo,
      coupons: demo.coupons.map((coupon) => ({ ...coupon, state: "voided" as const })),
    };
    expect(coverageCounts(coverageOf(voided).pairs)).toEqual(
      coverageCounts(coverageOf({ ...demo, coupons: [] }).pairs),
    );
  });

  test("one setting alone, a category and a setting of two values each have their own fields", async () => {
    const { definition } = demo;
    const one = { ...definition, factors: [definition.factors[0]!], limits: [] };
    const single = coverageOf({ definition: one, coupons: demo.coupons });
    expect(single.pairs).toHaveLength(1);
    expect(single.pairs[0]!.y).toBeUndefined();
    expect(await renderSvg(chartCoverage(single))).not.toMatch(/NaN|undefined/);
    const gas = {
      name: "gas",
      unit: "1",
      kind: "category" as const,
      low: 0,
      high: 1,
      change: "easy" as const,
      levels: ["argon", "constructor"],
    };
    const nozzle = {
      ...gas,
      name: "nozzle",
      unit: "mm",
      kind: "discrete" as const,
      low: 8,
      high: 12,
      levels: [8, 12],
    };
    const [pair] = coverageOf({ definition: { ...one, factors: [gas, nozzle] }, coupons: [] }).pairs;
    expect(pair!.x.edges).toEqual([-0.5, 0.5, 1.5]);
    expect(pair!.y!.edges).toEqual([6, 10, 14]);
    expect(pair!.empty).toHaveLength(4);
  });
});

describe("suspects", () => {
  test("are the slips of the check, each with its chance", () => {
    const wrong = {
      ...demo,
      coupons: demo.coupons.map((coupon) =>
        coupon.id === "C012"
          ? {
              ...coupon,
              results: { ...coupon.results, bead_width: { kind: "measured" as const, value: 58 } },
            }
          : coupon,
      ),
    };
    const check = checkStudy(wrong);
    const found = suspectsOf(wrong, check);
    const { values, settings, stations, verdicts } = check.slips;
    expect(found.map(({ chance }) => chance).sort()).toEqual(
      [...values, ...settings, ...stations, ...verdicts].map(({ chance }) => chance).sort(),
    );
    expect(found.find(({ coupon }) => coupon === "C012")!.reason).toMatch(
      /^bead width 58.0 mm; the others foresee \d/,
    );
    expect(drawSuspects(wrong, check)!.description).toMatch(/^Suspect coupons: C012 (99|100) %/);
  });

  test("of the outcome model carry its chance and say what is likeliest wrong, from a tenth on", () => {
    const foreseen = { value: 7.1, foreseen: 5.9, lower: 5.4, upper: 6.5 };
    const found = modelSuspects(demo, [
      { coupon: "C001", chance: 0.76, likeliest: "reading", what: "bead_width", reading: foreseen },
      { coupon: "C002", chance: 0.4, likeliest: "setting" },
      {
        coupon: "C003",
        chance: 0.2,
        likeliest: "verdict",
        what: "sound_bead",
        verdict: { passed: false, foreseen: 0.04 },
      },
      { coupon: "C004", chance: 0.09, likeliest: "setting" },
    ]);
    expect(found).toEqual([
      {
        coupon: "C001",
        chance: 0.76,
        reason: "likeliest a slip: bead width 7.10 mm; the others foresee 5.90 mm",
      },
      { coupon: "C002", chance: 0.4, reason: "likeliest another setting than recorded" },
      {
        coupon: "C003",
        chance: 0.2,
        reason: "likeliest ticked wrongly: sound bead failed; the others give that a chance of 4.0 %",
      },
    ]);
  });

  test("none: nothing is drawn", () => {
    const study = createStudy(scratchFolder(), demoDefinition());
    expect(drawSuspects(study, checkStudy(study))).toBeUndefined();
  });

  test("the likeliest come first, fifteen at most", () => {
    const suspects = Array.from({ length: 40 }, (_, i) => ({
      coupon: `C${i}`,
      chance: ((i * 17) % 40) / 40,
      reason: "odd",
    }));
    const { description } = chartSuspects({ suspects });
    const chances = [...description.matchAll(/(\d+) %/g)].map(([, chance]) => Number(chance));
    expect(chances).toHaveLength(15);
    expect(chances).toEqual([...chances].sort((a, b) => b - a));
  });
});

describe("bad data", () => {
  const nan = Number.NaN;
  test.each([
    ["coverage without a pair", () => chartCoverage({ pairs: [] }), "needs at least one pair"],
    ["learning without a step", () => chartLearning({ steps: [] }), "needs at least one of steps"],
    [
      "learning of NaN",
      () => chartLearning({ steps: [{ coupons: 1, chance: nan, interval: [0, 1] }] }),
      "steps[0].chance must be a finite number",
    ],
    ["gain without a row", () => chartGain({ rows: [] }), "needs at least one of rows"],
    [
      "gain of NaN",
      () => chartGain({ rows: [{ name: "C1", expected: nan }] }),
      "rows[0].expected must be a finite number",
    ],
    [
      "a chance above 1",
      () => chartSuspects({ suspects: [{ coupon: "C1", chance: 1.2, reason: "" }] }),
      "suspects[0].chance must be at least 0 and at most 1, got 1.2",
    ],
    ["suspects without a row", () => chartSuspects({ suspects: [] }), "needs at least one of suspects"],
    [
      "a build that ends before its last layer",
      () => chartBuildTimeline({ ...studyInputs.buildTimeline, expected: 1 }),
      "expected must be at least",
    ],
    [
      "a build without a layer",
      () => chartBuildTimeline({ ...studyInputs.buildTimeline, layers: [] }),
      "needs at least one of layers",
    ],
  ])("%s is refused", (_, draw, told) => {
    expect(draw).toThrow(told);
  });
});

describe("showTable", () => {
  const shown = (
    table: Parameters<typeof showTable>[1],
    options?: Parameters<typeof showTable>[2],
  ): string => {
    let html = "";
    showTable({ html: (text) => (html = text) }, table, options);
    return html;
  };

  test("shows a table of coupons with its columns, and says how many rows are left out", () => {
    const html = shown(couponTable(demo).select("coupon", "current"), { rows: 3 });
    expect(html.match(/<tr>/g)).toHaveLength(4);
    expect(html).toContain("<p>3 of 40 rows</p>");
    expect(html).toMatch(/<th style="text-align:right">current<\/th>/);
  });

  test("keeps markup out, leaves nothing where there is nothing, takes names such as __proto__", () => {
    const html = shown([{ a: "<b>", b: null, c: Number.NaN, d: true }, JSON.parse('{"__proto__": 5.5}')]);
    expect(html).toContain("&lt;b&gt;");
    expect(html).not.toMatch(/NaN|null|undefined|<b>/);
    expect(html).toContain('<td style="text-align:right">5.5</td>');
  });

  test("of no rows has no rows", () => {
    expect(shown([])).toContain("<tbody>\n\n</tbody>");
  });
});
