import { describe, expect, test } from "vitest";
import {
  aroundChanges,
  couponsToTell,
  exposureOfCause,
  growthOfIncidents,
  incidentSettings,
  judgeIncidents,
  rateBounds,
  survivalOfBuilds,
} from "../../../lib/endurance/index.js";
import { randomStream } from "../../../lib/numeric/index.js";
import type { EntryBody } from "../../../lib/study/index.js";
import { expectDigits } from "../../support/digits.js";
import { rigStudy, run } from "../rig.js";

const stuck = (coupon: string, minutes?: number): EntryBody => ({
  kind: "incident",
  what: "wire_stuck",
  outcome: "resumed",
  coupon,
  ...(minutes === undefined ? {} : { lostTime: { value: minutes, unit: "min" } }),
});

test("the costliest comes first, with shares that add up: 14, 7, 4, 3, 2 make 46.7, 70.0, 83.3, 93.3, 100 %", () => {
  const minutes = [4, 14, 2, 7, 3];
  const study = rigStudy([
    run("C1"),
    ...minutes.map(
      (value, i): EntryBody => ({
        kind: "incident",
        what: `cause_${i}`,
        outcome: "resumed",
        lostTime: { value, unit: "min" },
      }),
    ),
  ]);
  const { causes } = judgeIncidents(study);
  expect(causes.map(({ lostTime }) => lostTime)).toEqual([14, 7, 4, 3, 2]);
  [46.7, 70, 83.3, 93.3, 100].forEach((sum, i) => {
    expectDigits(100 * causes[i]!.cumulative, sum, 3);
  });
});

test("a build that was lost costs its hours too: by the machine where it was counted, else the arc", () => {
  const ended = (build: string, what: string, exposure: Extract<EntryBody, { kind: "build" }>["exposure"]) =>
    [
      { kind: "build", build, event: "started" },
      { kind: "build", build, event: "progress", layer: 50, exposure },
      { kind: "incident", what, outcome: "scrapped", build, lostTime: { value: 10, unit: "min" }, exposure },
      { kind: "build", build, event: "ended", outcome: "scrapped" },
    ] as EntryBody[];
  const study = rigStudy([
    run("C1"),
    stuck("C1", 90),
    ...ended("a", "gas_empty", { machine_time: { value: 4, unit: "h" }, arc_time: { value: 2, unit: "h" } }),
    ...ended("b", "arc_lost", { arc_time: { value: 1, unit: "h" } }),
  ]);
  const { causes } = judgeIncidents(study);
  expect(causes.map(({ what, lostTime, buildTime }) => [what, lostTime, buildTime])).toEqual([
    ["gas_empty", 10, 240],
    ["wire_stuck", 90, 0],
    ["arc_lost", 10, 60],
  ]);
  expectDigits(causes[0]!.share, 250 / 410, 10);
});

test("rates are per what a cause's chance grows with, by its name or as told", () => {
  const study = rigStudy([
    ...Array.from({ length: 20 }, (_, i) => run(`C${i}`)),
    stuck("C3", 10),
    stuck("C9"),
  ]);
  const [cause] = judgeIncidents(study).causes;
  // A wire freezes into the crater where an arc stops: once a start.
  expect(cause).toMatchObject({ per: "starts", incidents: 2, timed: 1 });
  expect(cause!.rate).toEqual(rateBounds(2, 20));
  const [byWire] = judgeIncidents(study, { per: { wire_stuck: "wire" } }).causes;
  expectDigits(byWire!.rate!.estimate, 2 / 12, 10);
  expect(exposureOfCause("wire_stuck_in_liner")).toBe("wire");
  expect(judgeIncidents(study).findings.map(({ code }) => code)).toEqual(["lost-time-untold"]);
  expect(exposureOfCause("torch_touched")).toBe("layers");
  expect(exposureOfCause("something_else")).toBe("arc_time");
});

describe("before and after a change", () => {
  test("counts by running, and an incident at the mark belongs before it", () => {
    const study = rigStudy([
      ...Array.from({ length: 10 }, (_, i) => run(`A${i}`)),
      stuck("A2"),
      stuck("A5"),
      stuck("A9"),
      { kind: "change", what: "liner" },
      ...Array.from({ length: 30 }, (_, i) => run(`B${i}`)),
      stuck("B7"),
    ]);
    const [found] = aroundChanges(study, { change: "liner", per: "starts" });
    expect(found).toMatchObject({ before: { events: 3, exposure: 10 }, after: { events: 1, exposure: 30 } });
    // R 4.2.2: poisson.test(c(1, 3), c(30, 10))$p.value
    expectDigits(found!.comparison!.p, 0.05078125, 6);
  });

  test("a change nobody logged is refused, with those that were", () => {
    const study = rigStudy([{ kind: "change", what: "cup" }]);
    expect(() => aroundChanges(study, { change: "cap", per: "starts" })).toThrow(
      /no change of cap was logged; changed were cup/,
    );
  });

  test("with no running on one side there is nothing to compare", () => {
    const study = rigStudy([{ kind: "change", what: "cup" }, run("C1")]);
    expect(aroundChanges(study, { change: "cup", per: "starts" })[0]!.comparison).toBeNull();
  });
});

describe("settings that go with an incident", () => {
  const hot = (seed: number, effect: number) => {
    const random = randomStream(seed);
    const bodies: EntryBody[] = [];
    for (let i = 0; i < 30; i++) {
      const current = 100 + 60 * random.uniform();
      bodies.push(run(`C${i}`, current));
      if (random.uniform() < 1 / (1 + Math.exp(-effect * (current - 130)))) bodies.push(stuck(`C${i}`));
    }
    return incidentSettings(rigStudy(bodies), "wire_stuck")!;
  };

  test("a factor that drives it is found, and the constant ones are left out", () => {
    const found = hot(1, 0.15);
    expect(found.settings.map(({ factor }) => factor)).toEqual(["current"]);
    expect(found.settings[0]!.p).toBeLessThan(0.01);
    expect(found.settings[0]!.with).toBeGreaterThan(found.settings[0]!.without);
    expect(found.settings[0]!.toTell.each).toBeGreaterThan(2);
  });

  test("one that does not is called so about as often as chance would", () => {
    const alarms = Array.from({ length: 40 }, (_, i) => hot(100 + i, 0).settings[0]!.p < 0.1).filter(
      Boolean,
    ).length;
    // 40 tries at 10 %: 4 expected, more than 10 in one of 700.
    expect(alarms).toBeLessThanOrEqual(10);
  });

  test("too few say nothing", () => {
    expect(incidentSettings(rigStudy([run("C1"), run("C2"), stuck("C1")]), "wire_stuck")).toBeNull();
  });

  test("the coupons that would tell are those of Fisher's test at 80 % power", () => {
    // R 4.2.2: the sum of dbinom over tables with fisher.test p <= 0.05 reaches 0.8 at these n, not before.
    expect(couponsToTell([0.1, 0.7])).toBe(12);
    expect(couponsToTell([0.2, 0.6])).toBe(27);
    expect(couponsToTell([0.3, 0.35])).toBeNull();
  });
});

test("growth: incidents that thin out give a shape below 1, and few give none", () => {
  const coupons = Array.from({ length: 60 }, (_, i) => run(`C${i}`));
  const at = [0, 1, 2, 4, 7, 12, 25];
  const study = rigStudy([...coupons, ...at.map((i) => stuck(`C${i}`))]);
  const { growth, times, end } = growthOfIncidents(study, { per: "starts" });
  expect(times).toEqual(at.map((i) => i + 1));
  expect(end).toBe(60);
  expect(growth!.fit.shape.upper).toBeLessThan(1);
  expect(growthOfIncidents(rigStudy([...coupons, stuck("C3")]), { per: "starts" }).growth).toBeNull();
});

test("the arc of a build runs from start or incident to the next, or to the end", () => {
  const study = rigStudy([
    { kind: "build", build: "a", event: "started" },
    {
      kind: "build",
      build: "a",
      event: "progress",
      layer: 10,
      exposure: { arc_time: { value: 2, unit: "h" } },
    },
    {
      kind: "incident",
      what: "arc_lost",
      outcome: "resumed",
      build: "a",
      exposure: { arc_time: { value: 0.5, unit: "h" } },
    },
    { kind: "build", build: "a", event: "ended", outcome: "finished" },
  ]);
  const { runs, law } = survivalOfBuilds(study);
  expect(runs).toEqual([
    { time: 0.5, failed: true },
    { time: 1.5, failed: false },
  ]);
  expect(law).toBeNull();
});
