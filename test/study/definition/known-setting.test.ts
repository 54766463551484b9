import { describe, expect, test } from "vitest";
import { parseStudyDefinition, readKnownSetting } from "../../../lib/study/index.js";
import { fc } from "../../support/properties.js";
import { tigDefinition } from "../../support/studies.js";

const study = tigDefinition({
  factors: [
    { name: "current", unit: "A", low: 100, high: 200 },
    { name: "travel_speed", unit: "mm/min", low: 100, high: 300 },
    { name: "wire_feed_speed", unit: "m/min", low: 0.6, high: 2 },
    { name: "gas", kind: "category", levels: ["argon", "helium mix"] },
  ],
  rig: { settings: { arc_voltage: "12 V" } },
});

describe("readKnownSetting", () => {
  test.each([
    ["150 A, 1.2 m/min, good", { settings: { current: 150, wire_feed_speed: 1.2 }, good: true }],
    ["150A; 180 mm/min; poor", { settings: { current: 150, travel_speed: 180 }, good: false }],
    [
      "amps=150, wfs 47.244 in/min, width 6 mm, sound fail",
      {
        settings: { current: 150, wire_feed_speed: expect.closeTo(1.1999976, 9) },
        measured: { bead_width: 6 },
        passed: { sound_bead: false },
      },
    ],
    ["Argon, 12 V, 120 A, ok", { settings: { gas: "argon", current: 120 }, good: true }],
    [
      "gas: helium mix, current 120, sound",
      { settings: { gas: "helium mix", current: 120 }, passed: { sound_bead: true } },
    ],
  ])("%s", (said, understood) => {
    expect(readKnownSetting(study, said)).toEqual({ said, ...understood });
  });

  test.each([
    ["good", /names no setting/],
    ["150 A", /does not say how it ran/],
    ["1,5 m/min, good", /comma between two digits; write a decimal point/],
    ["5 kg, good", /"5 kg" is of a kind that no factor of this study is/],
    ["15 V, good", /is not what this study holds: arc_voltage is 12 V throughout/],
    ["150 A, shiny", /"shiny" names neither a setting nor how it ran/],
    ["150 A, 160 A, good", /"160 A" stands for current a second time; give it once/],
    ["900 A, 1.2 m/min, good", /"900 A" lies far outside the range of current, 100 to 200 A/],
    ["current 20, good", /"current 20" lies far outside the range of current/],
    ["150 A, width -5 mm", /"width -5 mm" cannot be below 0; check the sign/],
    ["150 A, bead 6 mm", /may mean bead_width or bead_height/],
    ["150 A, width 6 A", /"width 6 A" is a/],
    ["150 A, good, poor", /says the opposite/],
    ["gas=neon, good", /is no level of gas: argon, helium mix/],
  ])("refuses %s and says how to write it", (said, told) => {
    expect(readKnownSetting(study, said)).toMatch(told);
  });

  test("where two settings have the unit's kind, the range decides, and the unit where both hold it", () => {
    const speeds = (low: number, high: number) =>
      tigDefinition({
        factors: [
          { name: "travel_speed", unit: "mm/min", low: 100, high: 300 },
          { name: "wire_feed_speed", unit: "m/min", low, high },
        ],
      });
    expect(readKnownSetting(speeds(0.6, 2), "9 in/min, good")).toMatchObject({
      settings: { travel_speed: expect.closeTo(228.6, 6) },
    });
    expect(readKnownSetting(speeds(0.1, 2), "0.2 m/min, good")).toMatchObject({
      settings: { wire_feed_speed: 0.2 },
    });
    expect(readKnownSetting(speeds(0.1, 2), "3 mm/s, good")).toMatch(
      /may mean travel_speed or wire_feed_speed; write travel_speed="3 mm\/s"/,
    );
  });

  test("any numbers in any known unit and order come back in the study's", () => {
    // Half a range beyond the ranges of current and of travel at most.
    const amps = fc.double({ min: 50, max: 250, noNaN: true });
    const speed = fc.double({ min: 1, max: 400, noNaN: true });
    fc.assert(
      fc.property(amps, speed, fc.boolean(), (current, travel, first) => {
        const parts = [`current=${current} A`, `${travel} mm/min`];
        const read = readKnownSetting(study, [...(first ? parts : parts.reverse()), "good"].join(", "));
        expect(read).toMatchObject({ settings: { current, travel_speed: travel }, good: true });
      }),
    );
  });
});

test("study.json keeps the words, and names the one it cannot read", () => {
  const known = ["150 A, 1.2 m/min, good"];
  expect(parseStudyDefinition({ ...study, known }).known).toEqual(known);
  expect(() => parseStudyDefinition({ ...study, known: [...known, "nonsense"] })).toThrow(
    /known\[1\].*names neither a setting nor how it ran/,
  );
});
