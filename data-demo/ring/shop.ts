import type { StudyEvent } from "../../lib/study/index.js";
import { Bench } from "./bench.js";
import { Build, type Outcome, type Way } from "./build.js";

/** The two of them at their rig: what they logged, and how each of the five builds ended. */
export function runShop(seed: number): {
  readonly events: readonly StudyEvent[];
  readonly ends: readonly Outcome[];
} {
  const bench = new Bench(seed);
  const { log } = bench;
  const run = (way: Way): Outcome => new Build(bench, way).run();
  log.open("2026-05-04T07:10:00Z");
  log.change({ what: "firmware", detail: "1: as it came" });
  log.change({ what: "cup", detail: "8 mm, ceramic" });
  bench.grind();
  bench.newSpool();
  bench.newCylinder(undefined, 110);
  const first = run({ build: "ring-1", opens: "2026-05-04T08:00:00Z", rise: 1.24, dwell: 0.5 });
  log.pass(30);
  log.write({ kind: "note", text: "Level every ten layers from now on, with a rise of 1.28 mm." });
  bench.grind();
  const levelled = { rise: 1.28, relevelEvery: 10, dwell: 0.8 };
  const second = run({ ...levelled, build: "ring-2", opens: "2026-05-06T08:00:00Z" });
  log.pass(30);
  bench.newCylinder();
  bench.rig.readsGauge = true;
  log.write({
    kind: "note",
    text: "Whoever is at the rig reads the gauge of the cylinder before every layer.",
  });
  log.change({ what: "cup", detail: "12 mm with gas lens" });
  const better = { rise: 1.26, relevelEvery: 10, dwell: 0.8 };
  const third = run({ ...better, build: "ring-3", opens: "2026-05-11T08:00:00Z" });
  log.pass(30);
  bench.grind();
  const fourth = run({ ...better, build: "ring-4", opens: "2026-05-13T08:00:00Z" });
  log.pass(30);
  bench.flash();
  bench.newSpool();
  bench.grind();
  const fifth = run({ ...better, dwell: 1.2, build: "ring-5", opens: "2026-05-18T08:00:00Z" });
  return { events: log.events, ends: [first, second, third, fourth, fifth] };
}
