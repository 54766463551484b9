import { describe, expect, test } from "vitest";
import {
  assume,
  BUILD_PLAN_SCHEMA,
  type BuildPlan,
  buildSupplies,
  checkOutline,
  equalLayers,
  finishChance,
  forecastBuild,
  type TriedBuild,
} from "../../../lib/endurance/index.js";
import { type RandomStream, randomStream } from "../../../lib/numeric/index.js";
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

  /** Ends of builds by laws the forecast does not hold; beyond 1 a build is finished. */
  const laws: Readonly<Record<string, (random: RandomStream, losses: number) => () => number>> = {
    "wear to the third power": (random, losses) => () => (wait(random) / losses) ** (1 / 3),
    "a mistake at one of six changes": (random, losses) => {
      const share = 1 - Math.exp(-losses / 6);
      return () => {
        for (let change = 1; change <= 6; change++) if (random.uniform() < share) return change / 6.5;
        return 2;
      };
    },
    "bad days and good days": (random, losses) => () =>
      wait(random) / (losses * (random.uniform() < 0.3 ? 3 : 0.15)),
  };
  const wait = (random: RandomStream): number => -Math.log(1 - random.uniform());

  test.each(Object.entries(laws))(
    "is claimed as often as it comes true, from the third build on: %s",
    (name, law) => {
      const random = randomStream(2026).split(name);
      let [claimed, finished, builds] = [0, 0, 0];
      while (builds < 500) {
        // Rigs that lose half their builds, more or less.
        const build = law(random, 0.6 * Math.exp(0.8 * random.normal()));
        const tried: TriedBuild[] = [];
        for (let attempt = 0; attempt < 6; attempt++) {
          const end = build();
          if (attempt >= 2) {
            claimed += finishChance(tried).predictive;
            finished += end >= 1 ? 1 : 0;
            builds++;
          }
          tried.push({ run: Math.min(1, end), lost: end < 1 });
        }
      }
      // Four builds of a rig go together: the share come true has a standard error of .03 at most.
      expect(Math.abs(claimed - finished) / builds).toBeLessThan(0.05 + 0.06);
    },
  );
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
    expect(cause).toMatchObject({ per: "starts", stops: 2.5 });
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
