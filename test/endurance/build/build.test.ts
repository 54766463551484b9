import { describe, expect, test } from "vitest";
import {
  assume,
  BUILD_PLAN_SCHEMA,
  type BuildPlan,
  buildSupplies,
  checkOutline,
  equalLayers,
  forecastBuild,
  PLANNED_TOUCH,
} from "../../../lib/endurance/index.js";
import type { EntryBody } from "../../../lib/study/index.js";
import type { Quantity } from "../../../lib/units/index.js";
import { expectDigits } from "../../support/digits.js";
import { fc } from "../../support/properties.js";
import { rigStudy, run } from "../rig.js";

const setting = {
  current: 130,
  arc_voltage: 13,
  travel_speed: 2,
  wire_feed_speed: 20,
  gas_flow: 10,
  wire_diameter: 1.2,
};
const given = (numbers: Readonly<Record<string, Quantity>> = {}) => assume([["given", numbers]]);
const minutes = (value: number): Quantity => ({ value, unit: "min" });
const litres = (value: number): Quantity => ({ value, unit: "L" });

function planOf(layers: number, numbers: Readonly<Record<string, Quantity>> = {}): BuildPlan {
  return {
    schema: BUILD_PLAN_SCHEMA,
    study: "invented ring",
    made: "2026-01-01T00:00:00.000Z",
    build: { setting, wireDensity: 7.9 },
    outline: equalLayers({ layers, path: 240 }),
    assumptions: given(numbers),
    perLayer: {},
    standoff: [],
  };
}

const suppliesOf = ({ outline, build, assumptions }: BuildPlan) =>
  buildSupplies({ outline, build, assumptions });

describe("supplies", () => {
  const none = {
    start_time: minutes(0),
    pre_flow: minutes(0),
    post_flow: minutes(0),
    tungsten_life: minutes(0),
  };

  test("are those worked out by hand for ten layers of two minutes", () => {
    const plan = planOf(10, { ...none, dwell: minutes(1), standing_power: { value: 0, unit: "W" } });
    const found = suppliesOf(plan);
    expectDigits(found.arcTime, 20 / 60, 12);
    expectDigits(found.dwell, 9 / 60, 12);
    expectDigits(found.time, 29 / 60, 12);
    expectDigits(found.wire, 0.02 * 1200, 12);
    expectDigits(found.wireMass, (24 * Math.PI * 0.36 * 7.9) / 1000, 12);
    expectDigits(found.gas, 200, 12);
    expectDigits(found.electricity!, (1.69 * (20 / 60)) / 0.8, 12);
    expect(found.starts).toBe(10);
  });

  test("name the layer in which a cylinder runs out, and add the time of its change", () => {
    const plan = planOf(10, {
      ...none,
      cylinder_left: litres(50),
      cylinder_gas: litres(100),
      cylinder_change: minutes(15),
    });
    const found = suppliesOf(plan);
    const changed = found.layers
      .filter(({ changes }) => changes.includes("cylinder"))
      .map(({ layer }) => layer);
    // 20 L a layer: 50 L last two layers and a half, then 100 L five more.
    expect(changed).toEqual([3, 8]);
    expect(found.cylinders).toBe(2);
    expectDigits(found.time, (20 + 30) / 60, 12);
  });

  test("grow with every layer and never shrink with a longer dwell", () => {
    fc.assert(
      fc.property(fc.integer({ min: 1, max: 60 }), fc.integer({ min: 0, max: 120 }), (layers, dwell) => {
        const short = suppliesOf(planOf(layers, { dwell: { value: dwell, unit: "s" } }));
        const more = suppliesOf(planOf(layers + 1, { dwell: { value: dwell + 1, unit: "s" } }));
        expect(more.time).toBeGreaterThan(short.time);
        expect(more.gas).toBeGreaterThan(short.gas);
        expect(more.cylinders).toBeGreaterThanOrEqual(short.cylinders);
      }),
    );
  });
});

describe("a forecast", () => {
  test("counts an incident by starts where no running of its kind is on record", () => {
    const study = rigStudy(
      [
        ...["C1", "C2", "C3", "C4"].map((coupon) => run(coupon)),
        { kind: "incident", what: "wire_stuck", outcome: "resumed", coupon: "C2" },
      ],
      { rig: { settings: { arc_voltage: "13 V" } } },
    );
    const cause = forecastBuild(study, planOf(10)).risks.causes.find(({ what }) => what === "wire_stuck");
    expect(cause!.per).toBe("starts");
    expectDigits(cause!.stops, 2.5, 12);
  });

  const lost = (build: string, layer: number, what: string): EntryBody[] => [
    { kind: "build", build, event: "started" },
    { kind: "build", build, event: "progress", layer, exposure: { starts: { value: layer, unit: "1" } } },
    { kind: "incident", what, outcome: "scrapped", build, layer },
    { kind: "build", build, event: "ended", outcome: "scrapped" },
  ];

  test("puts the risk where builds were lost, and says what its removal would buy", () => {
    const study = rigStudy([
      run("C1"),
      ...lost("a", 40, "torch_touched"),
      ...lost("b", 90, "torch_touched"),
      ...lost("c", 20, "arc_lost"),
    ]);
    const { risks, improvements } = forecastBuild(study, planOf(100));
    expect(risks.tried.map((build) => build.lost)).toEqual([true, true, true]);
    expect(risks.causes[0]!.what).toBe("torch_touched");
    expectDigits(
      risks.causes.reduce((sum, { share }) => sum + share, 0),
      1,
      12,
    );
    expect(improvements[0]!.what).toContain("torch_touched");
    expect(improvements[0]!.chance).toBeGreaterThan(risks.chance.predictive);
  });

  test("takes the longest twentieth of builds never shorter than the mean, and as a Poisson number has it", () => {
    for (const stuck of [1, 4, 12]) {
      const coupons = Array.from({ length: 20 }, (_, i) => `C${i}`);
      const study = rigStudy([
        ...coupons.map((coupon) => run(coupon)),
        ...coupons
          .slice(0, stuck)
          .map((coupon): EntryBody => ({ kind: "incident", what: "wire_stuck", outcome: "resumed", coupon })),
      ]);
      const { time, risks, supplies } = forecastBuild(study, planOf(4));
      expectDigits(risks.stops, stuck / 5, 10);
      expect(time.longest).toBeGreaterThan(time.expected);
      // The twentieth of most stops, filled from the top.
      let [left, sum] = [0.05, 0];
      for (let count = 60; count >= 0 && left > 0; count--) {
        const factorials = Array.from({ length: count }, (_, i) => risks.stops / (i + 1));
        const share = Math.min(left, Math.exp(-risks.stops) * factorials.reduce((a, b) => a * b, 1));
        left -= share;
        sum += share * count;
      }
      expectDigits(time.longest - supplies.time, ((sum / 0.05) * 20) / 60, 8);
    }
  });

  const planWithBand = (expected: number, wide: number, every = 0): BuildPlan => ({
    ...planOf(40, { relevel_every: { value: every, unit: "1" } }),
    standoff: Array.from({ length: 40 }, (_, i) => ({
      layer: i + 1,
      expected,
      low: expected - wide,
      high: expected + wide,
    })),
    held: { touch: 0.5, tooLong: 6 },
  });

  test("counts a touch by the planned band as a cause of its own", () => {
    const study = rigStudy([run("C1"), ...lost("a", 20, "arc_lost")]);
    const bare = forecastBuild(study, planOf(40)).risks;
    expect(bare.causes.map(({ what }) => what)).not.toContain(PLANNED_TOUCH);
    // Two standard deviations above the touch, one stretch: 2.275 in 100 by the normal table.
    const sd = 1 / 1.6448536;
    const { risks, improvements } = forecastBuild(study, planWithBand(0.5 + 2 * sd, 1));
    expectDigits(risks.touch.chance, 0.0227501, 5);
    expectDigits(risks.chance.predictive / bare.chance.predictive, 1 - 0.0227501, 6);
    const cause = risks.causes.find(({ what }) => what === PLANNED_TOUCH)!;
    expectDigits(cause.share, Math.log1p(-0.0227501) / Math.log(risks.chance.predictive), 5);
    expectDigits(cause.without, bare.chance.predictive, 6);
    expect(improvements.map(({ what }) => what).join()).toContain("levelling so often");
    // Levelled every ten layers the drift begins anew four times.
    expectDigits(
      forecastBuild(study, planWithBand(0.5 + 2 * sd, 1, 10)).risks.touch.chance,
      1 - (1 - 0.0227501) ** 4,
      5,
    );
  });

  test("does not count a touch twice that builds ended by already", () => {
    const study = rigStudy([
      run("C1"),
      ...["a", "b", "c"].flatMap((name) => lost(name, 20, "torch_touched")),
    ]);
    const bare = forecastBuild(study, planOf(40)).risks.chance.predictive;
    const banded = forecastBuild(study, planWithBand(1.7, 1)).risks;
    expect(banded.touch.chance).toBeGreaterThan(0.01);
    expectDigits(banded.chance.predictive, bare, 10);
  });

  test("gives a cause of many stops more of the risk than one of few, though neither ended a build", () => {
    const stop = (what: string, layer: number): EntryBody => ({
      kind: "incident",
      what,
      outcome: "resumed",
      build: "a",
      layer,
    });
    const study = rigStudy([
      ...lost("b", 30, "gas_empty"),
      { kind: "build", build: "a", event: "started" },
      ...Array.from({ length: 8 }, (_, i) => stop("arc_lost", 3 * i + 2)),
      stop("arc_wandered", 9),
      {
        kind: "build",
        build: "a",
        event: "ended",
        outcome: "finished",
        layer: 40,
        exposure: { starts: { value: 40, unit: "1" }, arc_time: { value: 2, unit: "h" } },
      },
    ]);
    const { causes } = forecastBuild(study, planOf(40), { per: { gas_empty: "starts" } }).risks;
    const shareOf = (what: string): number => causes.find((cause) => cause.what === what)!.share;
    expect(shareOf("gas_empty")).toBeGreaterThan(shareOf("arc_lost"));
    expect(shareOf("arc_lost")).toBeGreaterThan(shareOf("arc_wandered"));
    expectDigits(
      causes.reduce((sum, { share }) => sum + share, 0),
      1,
      12,
    );
  });

  test("with a source that cannot carry the duty says so", () => {
    const found = forecastBuild(rigStudy([run("C1")]), planOf(10), {
      equipment: { source: { current: 130, duty: 0.35 } },
    });
    expect(found.findings.map(({ code }) => code)).toContain("duty-exceeded");
    expect(found.duty).toBeGreaterThan(0.35);
  });

  test("says that a few builds all ended alike, and no longer once one ended otherwise", () => {
    const codes = (entries: readonly EntryBody[]): readonly string[] =>
      forecastBuild(rigStudy([run("C1"), ...entries]), planOf(100)).findings.map(({ code }) => code);
    const alike = ["a", "b", "c"].flatMap((name, i) => lost(name, 20 + i, "arc_lost"));
    expect(codes(alike)).toContain("builds-alike");
    const finished: EntryBody[] = [
      { kind: "build", build: "d", event: "started" },
      { kind: "build", build: "d", event: "ended", outcome: "finished", layer: 100 },
    ];
    expect(codes([...alike, ...finished])).not.toContain("builds-alike");
  });

  test("heeds a change of equipment between builds, not of what wears and is replaced", () => {
    const builds = (change: readonly EntryBody[]): readonly EntryBody[] => [
      run("C1"),
      ...lost("a", 40, "arc_lost"),
      ...lost("b", 30, "arc_lost"),
      ...change,
      { kind: "build", build: "c", event: "started" },
      { kind: "build", build: "c", event: "ended", outcome: "finished", layer: 100 },
    ];
    const chanceOf = (change: readonly EntryBody[]): number =>
      forecastBuild(rigStudy(builds(change)), planOf(100)).risks.chance.predictive;
    const worn: EntryBody = { kind: "change", what: "tungsten", life: { value: 4, unit: "h" } };
    expect(chanceOf([worn])).toBe(chanceOf([]));
    expect(chanceOf([{ kind: "change", what: "firmware" }])).toBeGreaterThan(chanceOf([]) + 0.01);
  });

  test("before any build admits that it knows nothing of the chance", () => {
    const found = forecastBuild(rigStudy([]), planOf(10));
    expect(found.findings.map(({ code }) => code)).toContain("no-builds");
    expect(found.risks.chance.atMost - found.risks.chance.atLeast).toBeGreaterThan(0.8);
  });
});

test.each([
  [() => equalLayers({ layers: 0, path: 100 }), /layers must be/],
  [() => equalLayers({ layers: 1e6, path: 100 }), /layers must be/],
  [() => equalLayers({ layers: 3, path: -1 }), /path of layer 1/],
  [() => checkOutline([{ layer: 2, path: 10, starts: 1 }]), /without a gap: after layer 0 comes 2/],
  [
    () => given({ dwel: minutes(1) }),
    /nothing here is assumed under the name "dwel"; did you mean "dwell"\?/,
  ],
  [() => given({ dwell: litres(1) }), /assumption dwell: 1 L is a volume; a time is wanted here/],
  [() => given({ dwell: minutes(-1) }), /dwell must be at least 0 s, got -60 s/],
  [
    () => given({ source_efficiency: { value: 80, unit: "1" } }),
    /source_efficiency must be above 0 and at most 1, got 80/,
  ],
  [() => suppliesOf({ ...planOf(1), build: { setting: {}, wireDensity: 8 } }), /travel speed must be/],
])("what cannot be is refused: %s", (call, message) => {
  expect(call).toThrow(message);
});
