import { describe, expect, test } from "vitest";
import { makePreset, type Preset, type SequenceStep } from "../../lib/presets/index.js";
import { made, proven, recommendation, triedStudy } from "./sample.js";

const steps = ({ sequence }: Preset): ReadonlyMap<string, SequenceStep> =>
  new Map([...sequence.start, ...sequence.stop].map((step) => [step.name, step]));

describe("start and stop of a preset", () => {
  test("come in their order in time, and every usual value says that no source stands behind it", () => {
    expect(proven.sequence.start.map(({ name }) => name)).toEqual([
      "pre_flow",
      "up_slope",
      "pool_dwell",
      "feed_delay",
    ]);
    expect(proven.sequence.stop.map(({ name }) => name)).toEqual([
      "melt_back_delay",
      "retract",
      "down_slope",
      "end_current",
      "post_flow",
    ]);
    for (const { origin, note } of steps(proven).values())
      expect([origin, note]).toEqual(["assumed", expect.stringContaining("common practice, no source")]);
  });

  test("keep within what shops do with a cold wire, post-flow about a second per 10 A", () => {
    // Common practice, no source: the ranges a TIG operator's guide would name.
    const at = (name: string): number => steps(proven).get(name)!.value;
    for (const [name, low, high] of [
      ["up_slope", 0.2, 2],
      ["pool_dwell", 1, 3],
      ["retract", 3, 8],
      ["down_slope", 2, 10],
      ["end_current", 10, 25],
    ] as const)
      expect(at(name) >= low && at(name) <= high, name).toBe(true);
    expect(at("post_flow")).toBe(13);
  });

  test("take the rig's numbers where study.json has them, in any unit, and a setting's before those", () => {
    const rig = {
      settings: { pre_flow: "1.5 s", down_slope: "0.1 min", retract: "1/4 in", post_flow: "20 s" },
    };
    const found = steps(makePreset(triedStudy({ rig }), recommendation, made));
    for (const [name, value] of [
      ["pre_flow", 1.5],
      ["down_slope", 6],
      ["retract", 6.35],
      ["post_flow", 20],
    ] as const) {
      expect(found.get(name)!.value, name).toBeCloseTo(value, 12);
      expect(found.get(name)!.origin).toBe("rig");
    }
    const varied = {
      ...recommendation,
      settings: [...recommendation.settings, { factor: "retract", value: 4, unit: "mm" }],
    };
    const set = steps(makePreset(triedStudy({ rig }), varied, made)).get("retract")!;
    expect([set.value, set.origin]).toEqual([4, "setting"]);
  });

  test("are no setting the rig holds beside, and a wrong kind of unit is refused by name", () => {
    const preset = makePreset(
      triedStudy({ rig: { settings: { pre_flow: "3 s", standoff: "3 mm" } } }),
      recommendation,
      made,
    );
    expect(preset.held.map(({ name }) => name)).toEqual(["standoff"]);
    expect(() =>
      makePreset(triedStudy({ rig: { settings: { down_slope: "4 mm" } } }), recommendation, made),
    ).toThrow(/study\.json: "down_slope" .* in s; write one of .*, got 4 mm/);
  });

  test("of a consumable electrode burn back and slope only where the study says so", () => {
    const study = triedStudy({ process: "135", rig: { settings: { burn_back_time: "0.08 s" } } });
    const found = steps(makePreset(study, recommendation, made));
    expect(found.get("melt_back_delay")).toMatchObject({ value: 0.08, origin: "rig" });
    expect(found.get("up_slope")!.value).toBe(0);
    expect(found.has("end_current")).toBe(false);
  });
});

test("a limit binds where one step of a setting breaks it, and does not a step before", () => {
  // 12.5 V x 121 A / 2 mm/s = 0.756 kJ/mm by hand; one step of the travel speed (0.5 mm/min) makes it 0.759.
  const limited = (max: number) =>
    makePreset(
      triedStudy({
        limits: [{ quantity: "arc_energy", unit: "kJ/mm", max }],
        rig: { settings: { arc_voltage: "12.5 V" } },
      }),
      recommendation,
      made,
    ).limits[0]!;
  expect(limited(0.757).value).toBeCloseTo(0.75625, 10);
  expect(limited(0.757).binds).toBe(true);
  expect(limited(0.9).binds).toBe(false);
});
