import { readFileSync } from "node:fs";
import { fileURLToPath } from "node:url";
import { describe, expect, test } from "vitest";
import { ringFiles } from "../../../data-demo/ring/files.js";
import { layerHeight, STANDOFF } from "../../../data-demo/ring/laws.js";
import {
  attempts,
  counters,
  judgeIncidents,
  minutesOf,
  runningLedger,
} from "../../../lib/endurance/index.js";
import { randomStream } from "../../../lib/numeric/index.js";
import { createRingStudy, ringEvents, verifyJournal } from "../../../lib/study/index.js";
import { newFolder } from "../support.js";

const read = (name: string): string =>
  readFileSync(fileURLToPath(new URL(`../../../data-demo/${name}`, import.meta.url)), "utf8");
const study = createRingStudy(newFolder());

describe("the demo of a long build", () => {
  test("is what its script writes, byte for byte, and small", () => {
    for (const [name, text] of Object.entries(ringFiles())) {
      expect(read(name), name).toBe(text);
      expect(text.length, name).toBeLessThan(100_000);
    }
  });

  test("opens whole, in order of time", () => {
    expect(study.integrity).toEqual([]);
    expect(verifyJournal(study.folder).faults).toEqual([]);
    const times = ringEvents().map(({ time }) => time);
    expect(times).toEqual([...times].sort());
    expect(study.entries).toHaveLength(times.length);
  });

  test("is five builds: three lost at different layers by different incidents, one given up, the last finished", () => {
    const builds = attempts(study);
    expect(builds.map(({ state }) => state)).toEqual([
      "scrapped",
      "scrapped",
      "given_up",
      "scrapped",
      "finished",
    ]);
    expect(builds.at(-1)!.layers).toBe(200);
    const fatal = study.incidents.filter(({ outcome }) => outcome === "scrapped");
    expect(new Set(fatal.map(({ what }) => what)).size).toBe(3);
    expect(new Set(fatal.map(({ layer }) => layer)).size).toBe(3);
    // A build that an incident ended had finished every layer below the one it happened in.
    for (const { build, layer } of fatal)
      expect(builds.find((attempt) => attempt.build === build)!.layers).toBe(layer! - 1);
  });

  test("tells time lost, running and changes of what wears", () => {
    const { causes, findings } = judgeIncidents(study);
    expect(causes.length).toBeGreaterThanOrEqual(5);
    expect(study.incidents.every(({ lostTime }) => minutesOf(lostTime) > 0)).toBe(true);
    expect(findings.filter(({ severity }) => severity !== "info")).toEqual([]);
    const changed = counters(study);
    for (const name of ["tungsten", "cup", "wire_spool", "gas_cylinder", "firmware"])
      expect(
        changed.map(({ what }) => what),
        name,
      ).toContain(name);
    // No life was overrun by more than the layer in which it ended; a grind in time costs nothing.
    for (const { what, life, before } of changed)
      for (const run of before)
        if (life?.kind === "arc_time") expect(run.arc_time ?? 0, what).toBeLessThan(4.1);
  });

  test("takes as much gas and wire as its arc hours ask, and reads the pressure that leaves", () => {
    const { total } = runningLedger(study);
    // 1 m/min of wire, 11 L/min of gas with 12 s around each arc of 1.68 min.
    expect(total.wire! / (60 * total.arc_time!)).toBeCloseTo(1, 2);
    const arc = (80 * Math.PI) / 150;
    expect(total.gas! / (60 * total.arc_time!)).toBeCloseTo((11 * (arc + 0.2)) / arc, 1);
    for (const { steps } of attempts(study)) {
      const read = steps.filter(({ values }) => values?.cylinder_pressure !== undefined);
      for (const [i, step] of read.slice(1).entries()) {
        const [from, to] = [read[i]!.values!.cylinder_pressure!, step.values!.cylinder_pressure!];
        // Five layers take 103 L: 5.2 bar of 20 L; a new cylinder begins at 200 bar.
        if (to < from) expect(Math.abs(from - to - (5 * 11 * (arc + 0.2)) / 20)).toBeLessThan(1.01);
        else expect(to).toBeGreaterThan(185);
      }
    }
  });

  test("grows taller on the cold base than later", () => {
    const mean = (layer: number): number => {
      const stream = randomStream(layer);
      return (
        Array.from({ length: 400 }, () => layerHeight(layer, STANDOFF, stream)).reduce((a, b) => a + b) / 400
      );
    };
    expect(mean(1)).toBeGreaterThan(1.2 * mean(60));
    expect(mean(20)).toBeGreaterThan(mean(150));
  });

  test("stops where it is told to, with the build under way", () => {
    const half = createRingStudy(
      newFolder(),
      (_, { ...event }) =>
        !(
          "log" in event &&
          event.log.kind === "build" &&
          event.log.layer === 60 &&
          event.log.build === "ring-5"
        ),
    );
    const last = attempts(half).at(-1)!;
    expect([last.build, last.state, last.layers]).toEqual(["ring-5", "running", 60]);
  });
});
