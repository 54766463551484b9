import { expect, test } from "vitest";
import { buildOutcomeModel, type OutcomeModel } from "../../lib/models/index.js";
import { comparePresets, type Preset } from "../../lib/presets/index.js";
import { convert } from "../../lib/units/index.js";
import { expectDigits } from "../support/digits.js";
import { simulatedBeads, tigDefinition } from "../support/studies.js";

const model: OutcomeModel = buildOutcomeModel({
  definition: tigDefinition(),
  coupons: simulatedBeads(1, 24, 0.02),
});

function preset(settings: Readonly<Record<string, number>>, parts: Partial<Preset> = {}): Preset {
  const units: Readonly<Record<string, string>> = {
    current: "A",
    travel_speed: "mm/min",
    wire_feed_speed: "m/min",
  };
  return {
    schema: "beadbench/preset/2",
    study: "test study",
    process: "141",
    made: "2026-01-01T08:00:00Z",
    review: { by: "2026-07-01", sooner: "after any change" },
    basis: { coupons: 24, seed: 1, model: "none" },
    sequence: { start: [], stop: [] },
    derived: [],
    limits: [],
    settings: Object.entries(settings).map(([name, value]) => ({ name, value, unit: units[name]! })),
    held: [],
    predicted: [{ name: "bead_width", unit: "mm", median: 6, lower: 5.6, upper: 6.4, chance: 0.9 }],
    checks: [],
    chance: { value: 0.8, lower: 0.7, upper: 0.9 },
    window: { asked: 0.8, level: 0.8, reached: 0.8, ranges: [] },
    findings: [],
    cautions: [],
    ...parts,
  };
}

const mild = { current: 140, travel_speed: 180, wire_feed_speed: 1.1 };
const hot = { current: 185, travel_speed: 150, wire_feed_speed: 1.1 };

test("under a study, both are judged by its coupons, and swapping them turns differences round", () => {
  const there = comparePresets(preset(mild), preset(hot), { model });
  const back = comparePresets(preset(hot), preset(mild), { model });
  expect(there.under).toBe("study");
  const width = there.predicted.find(({ response }) => response === "bead_width")!;
  // The rig's law: 6 mm at the mild setting, exponents 0.7 and -0.45.
  const truth = 6 * ((185 / 140) ** 0.7 * (150 / 180) ** -0.45 - 1);
  expect(width.difference!.lower).toBeLessThan(truth);
  expect(width.difference!.upper).toBeGreaterThan(truth);
  expect(width.differs).toBe(true);
  expect(width.wanted).toEqual({ lower: 5, upper: 7 });
  expect(there.chance.differs).toBe(true);
  there.predicted.forEach(({ difference }, i) => {
    const turned = back.predicted[i]!.difference!;
    expectDigits(turned.estimate, -difference!.estimate, 10);
    expectDigits(turned.lower, -difference!.upper, 10);
  });
  expectDigits(back.chance.difference!.estimate, -there.chance.difference!.estimate, 10);
});

test("a preset against itself, in whatever units, does not differ", () => {
  const other = {
    ...preset(mild),
    settings: [
      { name: "travel_speed", value: convert(180, "mm/min", "in/min"), unit: "in/min" },
      { name: "current", value: 140, unit: "A" },
      { name: "wire_feed_speed", value: convert(1.1, "m/min", "mm/s"), unit: "mm/s" },
    ],
  };
  for (const options of [{}, { model }]) {
    const { settings, predicted, chance } = comparePresets(preset(mild), other, options);
    expect(settings.map(({ same }) => same)).toEqual([true, true, true]);
    expect(settings.map(({ unit }) => unit)).toEqual(["A", "mm/min", "m/min"]);
    expect(predicted.length).toBeGreaterThan(0);
    expect(predicted.some(({ differs }) => differs)).toBe(false);
    expect(chance.differs).toBe(false);
  }
});

test("at their own word, only what exceeds both uncertainties differs", () => {
  const said = (median: number, chance: number): Preset =>
    preset(mild, {
      predicted: [
        {
          name: "bead_width",
          unit: "in",
          median: median / 25.4,
          lower: (median - 0.4) / 25.4,
          upper: (median + 0.4) / 25.4,
          chance,
        },
      ],
      chance: { value: chance, lower: chance - 0.05, upper: chance + 0.05 },
    });
  const near = comparePresets(preset(mild), said(6.3, 0.75));
  expect(near.under).toBe("own");
  expect([near.predicted[0]!.differs, near.chance.differs]).toEqual([false, false]);
  const far = comparePresets(preset(mild), said(6.6, 0.5));
  expect([far.predicted[0]!.differs, far.chance.differs]).toEqual([true, true]);
  expectDigits(far.predicted[0]!.b.median, 6.6, 10);
});

test("a study that does not know a setting of the presets takes them at their word, and says so", () => {
  const { wire_feed_speed: _, ...lacking } = mild;
  const { under, findings, settings } = comparePresets(preset(mild), preset(lacking), { model });
  expect(under).toBe("own");
  expect(findings.map(({ message }) => message).join()).toMatch(/wire feed speed is not said/);
  expect(settings.find(({ name }) => name === "wire_feed_speed")).toMatchObject({ a: 1.1, same: false });
  const wide = comparePresets(preset(mild), preset({ ...hot, current: 250 }), { model });
  expect(wide.findings.map(({ code }) => code)).toContain("outside-study");
  const unlike = comparePresets(preset(mild), preset(mild, { process: "135" }));
  expect(unlike.findings.map(({ code }) => code)).toContain("unlike-presets");
});
