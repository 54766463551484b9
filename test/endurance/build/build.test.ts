import { describe, expect, test } from "vitest";
import {
  assume,
  BUILD_PLAN_SCHEMA,
  type BuildPlan,
  buildSupplies,
  checkOutline,
  equalLayers,
  FINISH_BELIEFS,
  type FinishBeliefs,
  finishChance,
  forecastBuild,
  PLANNED_TOUCH,
  type TriedBuild,
} from "../../../lib/endurance/index.js";
import type { EntryBody } from "../../../lib/study/index.js";
import type { Quantity } from "../../../lib/units/index.js";
import { expectDigits } from "../../support/digits.js";
import { fc } from "../../support/properties.js";
import { rigStudy, run } from "../rig.js";
import { heldOutLossLaws, lossLaws } from "./finish-laws.js";
import { calibrationOf, seeded } from "./finishing.js";
import { foreseenStops } from "./stops.js";

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

describe("the chance to finish", () => {
  test("rises with builds finished, falls with builds lost, and lies inside its bounds", () => {
    const done: TriedBuild = { run: 1, lost: false };
    const lost: TriedBuild = { run: 0.4, lost: true };
    const histories = [
      [lost, lost, lost],
      [lost, lost],
      [lost],
      [lost, done],
      [done],
      [done, done],
      [done, done, done, done],
    ];
    const chances = histories.map((tried) => finishChance(tried));
    for (const { predictive, atLeast, atMost } of chances) {
      expect(atLeast).toBeLessThanOrEqual(predictive);
      expect(predictive).toBeLessThanOrEqual(atMost);
    }
    const [a, b, c] = [
      [lost, lost, lost],
      [lost, done],
      [done, done],
    ].map((tried) => finishChance(tried).predictive);
    expect(a!).toBeLessThan(b!);
    expect(b!).toBeLessThan(c!);
  });

  test("grows while a build runs, to 1 at its end", () => {
    const tried = [
      { run: 0.5, lost: true },
      { run: 1, lost: false },
    ];
    const chances = [0, 0.25, 0.5, 0.75, 1].map((from) => finishChance(tried, { from }).predictive);
    chances.slice(1).forEach((chance, i) => {
      expect(chance).toBeGreaterThan(chances[i]!);
    });
    expect(chances.at(-1)).toBe(1);
  });

  const laws = { ...lossLaws, ...heldOutLossLaws };
  // The last two are laws that no belief was set on.
  const judged = [
    "wear to the third power",
    "bad days and good days",
    "a mistake at one of six changes",
    "bathtub",
    "clustered shocks",
  ];

  test.each(judged)("is claimed as often as it comes true, from the third build on: %s", (name) => {
    const { off, aboveLower, belowUpper } = calibrationOf(
      seeded(name, laws[name]!, { lost: 0.5, claims: 500, seed: 2027 }),
    );
    expect(Math.abs(off)).toBeLessThan(0.05);
    expect(aboveLower).toBeGreaterThan(0.9);
    expect(belowUpper).toBeGreaterThan(0.9);
  });

  test("is claimed as often as it comes true where two builds of three are lost, and scores better than one rate", () => {
    const claims = judged.flatMap((name) =>
      seeded(name, laws[name]!, { lost: 2 / 3, claims: 200, seed: 2028 }),
    );
    const { off, score, byRate } = calibrationOf(claims);
    expect(Math.abs(off)).toBeLessThan(0.05);
    expect(score).toBeLessThan(byRate);
  });

  test("grows faster where stops thin out with the losses, or a change was logged between lost and finished builds", () => {
    const lost = { run: 0.5, lost: true };
    const done = { run: 1, lost: false };
    const bare = finishChance([lost, lost, done]).predictive;
    const stops = [8, 8, 3];
    const thinning = [lost, lost, done].map((build, i) => ({ ...build, stops: stops[i]! }));
    const crowding = [lost, lost, done].map((build, i) => ({ ...build, stops: [1, 2, 16][i]! }));
    expect(finishChance(thinning).predictive).toBeGreaterThan(finishChance(crowding).predictive + 0.01);
    const changed = [lost, lost, { ...done, changes: 1 }];
    expect(finishChance(changed, { changes: 1 }).predictive).toBeGreaterThan(bare + 0.01);
  });

  test("with all said to be steady and lost by share alone is the Beta prediction", () => {
    // (a + finished) / (a + b + builds): where a build was lost then tells nothing.
    const beliefs: FinishBeliefs = {
      ...FINISH_BELIEFS,
      chance: [0.5, 1.5],
      laws: FINISH_BELIEFS.laws.filter(({ kind }) => kind.endsWith("share")),
      trends: { unchanged: [{ by: "builds", fall: 0, weight: 1 }], changed: [] },
    };
    const builds = [0.3, 1, 0.9, 1, 1].map((run) => ({ run, lost: run < 1 }));
    expectDigits(finishChance(builds, { beliefs }).predictive, 3.5 / 7, 4);
  });

  test("with one rate alone is the gamma-Poisson prediction", () => {
    // p^a of the belief and (-ln p)^r p^T of the record: ((a + T) / (a + T + 1))^(r + 1) where b is 1.
    const beliefs: FinishBeliefs = {
      ...FINISH_BELIEFS,
      chance: [1, 1],
      laws: FINISH_BELIEFS.laws.filter(({ kind, within }) => kind === "rate" && within === 1),
      trends: { unchanged: [{ by: "builds", fall: 0, weight: 1 }], changed: [] },
    };
    const builds = [0.3, 1, 0.9, 0.5].map((run) => ({ run, lost: run < 1 }));
    const [a, run] = [1, 2.7];
    expectDigits(finishChance(builds, { beliefs }).predictive, ((a + run) / (a + run + 1)) ** 4, 3);
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

  test("expects as many stops of each cause as come, where builds are good and bad, and some are lost", () => {
    for (const [what, { expected, true: truth }] of Object.entries(foreseenStops(60, 5)))
      expect(Math.abs(expected - truth), what).toBeLessThan(0.15 * truth + 0.05);
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
