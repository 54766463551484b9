import { mkdtempSync, readFileSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { describe, expect, test } from "vitest";
import type { BenchDay, BenchLesson, BenchStanding } from "../../lib/bench/wire/index.js";
import { buildOutcomeModel, outcomeData } from "../../lib/models/index.js";
import { appendEntries, createStudy, openStudy, type Study } from "../../lib/study/index.js";
import { findWindow, foreseeCoupons } from "../../lib/window/index.js";
import { bench, NOW, plannedStudy } from "./bench.js";

const ask = async <T>(study: Study, path: string): Promise<T> =>
  (await (await (await bench(study)).get(path)).json()) as T;

const log = (study: Study, coupon: string, values: Readonly<Record<string, number | boolean>>): Study =>
  appendEntries(study, [{ kind: "logged", coupon, values }], { clock: () => NOW });

describe("what a coupon taught", () => {
  test("is nothing odd where it lies in the range foreseen before it", async () => {
    const study = log(plannedStudy(), "C041", { bead_width: 5.85, bead_height: 1.95, sound_bead: true });
    const lesson = await ask<BenchLesson>(study, "/api/lesson/C041");
    expect(lesson).toMatchObject({ suspect: false, headline: "C041 came out as expected." });
    expect(lesson.parts.map(({ verdict }) => verdict)).toEqual(["expected", "expected", "expected"]);
  });

  test("is suspect outside of it, with what to measure again", async () => {
    const study = log(plannedStudy(), "C041", { bead_width: 7.4, bead_height: 1.95 });
    const { suspect, headline, parts } = await ask<BenchLesson>(study, "/api/lesson/C041");
    expect([suspect, headline]).toEqual([true, "C041 is suspect: bead width did not come out as foreseen."]);
    expect(parts[0]).toMatchObject({ name: "bead_width", verdict: "suspect" });
    expect(parts[0]!.advice).toMatch(/^above what 19 of 20 such coupons show: measure the bead width again/);
  });

  test("is a failed check that was all but sure to pass", async () => {
    const study = log(plannedStudy(), "C041", { sound_bead: false });
    const { parts } = await ask<BenchLesson>(study, "/api/lesson/C041");
    expect(parts[0]).toMatchObject({ verdict: "suspect", found: "no (failed)" });
  });

  test.each([
    [
      { bead_width: 5.85, bead_height: 2.05, smooth_feed: true, sound_bead: true },
      "expected, and is a good one.",
    ],
    [
      { bead_width: 5.35, bead_height: 2.05, smooth_feed: true, sound_bead: true },
      "expected, and is not a good one.",
    ],
  ])("says whether it is a good one: %j", async (values, end) => {
    const lesson = await ask<BenchLesson>(log(plannedStudy(), "C041", values), "/api/lesson/C041");
    expect(lesson.headline).toBe(`C041 came out as ${end}`);
  });

  test("rests on the coupons before it alone, whatever came after", async () => {
    const study = log(plannedStudy(), "C041", { bead_width: 5.9 });
    const before = await ask<BenchLesson>(study, "/api/lesson/C041");
    log(study, "C042", { bead_width: 9.9, bead_height: 0.7 });
    expect(await ask<BenchLesson>(study, "/api/lesson/C041")).toEqual(before);
  });

  test("is asked of a logged coupon", async () => {
    const answer = await (await bench(plannedStudy())).get("/api/lesson/C041");
    expect([answer.status, await answer.text()]).toEqual([
      404,
      expect.stringContaining("no logged coupon C041"),
    ]);
  });
});

test("of what few coupons tell nothing is foreseen, and nothing called suspect", async () => {
  const bare = createStudy(join(mkdtempSync(join(tmpdir(), "bench-")), "study"), {
    schema: "beadbench/study/1",
    name: "first coupons",
    process: "135",
    wire: { classification: "ER70S-6", diameter: "1 mm" },
    factors: [{ name: "current", unit: "A", low: 90, high: 180 }],
    responses: [{ name: "bead_width", unit: "mm" }],
  });
  const plan = [90, 120, 150, 180].map((current) => ({ kind: "planned" as const, values: { current } }));
  let study = appendEntries(bare, plan, { clock: () => NOW });
  for (const [k, id] of ["C001", "C002", "C003"].entries()) {
    const { planned } = await ask<BenchDay>(study, "/api/day");
    expect(planned[0]).toMatchObject({ id, foreseen: {} });
    study = log(study, id, { bead_width: 5 + k });
    const { suspect, headline } = await ask<BenchLesson>(study, `/api/lesson/${id}`);
    expect([suspect, headline]).toEqual([false, `${id} is logged; nothing was foreseen of it.`]);
  }
  const { planned } = await ask<BenchDay>(study, "/api/day");
  const { lower, upper } = planned[0]!.foreseen.bead_width!;
  expect(lower < 8 && upper > 8).toBe(true);
});

test("the day holds the planned coupons in run order with what the library foresees of them", async () => {
  const study = plannedStudy();
  const day = await ask<BenchDay>(study, "/api/day");
  expect(day.planned.map(({ id }) => id)).toEqual(["C041", "C042", "C043", "C044"]);
  const { settings } = study.coupons.find(({ id }) => id === "C041")!;
  const [foreseen] = foreseeCoupons(buildOutcomeModel(outcomeData(openStudy(study.folder))), [settings]);
  for (const { response, median, lower, upper } of foreseen!.responses)
    expect(day.planned[0]!.foreseen[response]).toEqual({ median, lower, upper });
  expect(day.measured.map(({ name, decimals, stations }) => [name, decimals, stations])).toEqual([
    ["bead_width", 2, 3],
    ["bead_height", 2, 3],
  ]);
  expect(day.blocks).toMatchObject([
    { name: "day", last: "4", suggested: "5" },
    { name: "tungsten_grind", suggested: "2" },
    { name: "cylinder", suggested: "2" },
  ]);
  expect(day.incidents.slice(0, 2).map(({ what, count }) => [what, count])).toEqual([
    ["wire_stuck", 1],
    ["tungsten_touched", 1],
  ]);
  expect(JSON.stringify(day)).not.toContain(study.folder);
});

test("the standing is the window that the library finds", async () => {
  const study = plannedStudy();
  const standing = await ask<BenchStanding>(study, "/api/standing");
  const window = findWindow(buildOutcomeModel(outcomeData(study)), { level: 0.8, mapSize: 2 });
  expect(standing.chance).toBe(window.best.conformance.chance);
  expect(standing.best.map(({ value }) => value)).toEqual(window.best.settings.map(({ value }) => value));
});

test("the standing of a study that says of no bead which is good claims no chance", async () => {
  const study = plannedStudy();
  const path = join(study.folder, "study.json");
  const definition = JSON.parse(readFileSync(path, "utf8"));
  const responses = [{ name: "bead_width", unit: "mm" }];
  writeFileSync(path, JSON.stringify({ ...definition, responses }));
  expect((await ask<BenchStanding>(study, "/api/standing")).nothingAsked).toMatch(/^Nothing is asked for/);
  expect((await ask<BenchStanding>(plannedStudy(), "/api/standing")).nothingAsked).toBeUndefined();
});
