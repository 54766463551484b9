import { describe, expect, test } from "vitest";
import { buildOutcomeModel, type OutcomeModelOptions } from "../../../lib/models/index.js";
import type { Coupon } from "../../../lib/study/index.js";
import { conformance } from "../../../lib/window/index.js";
import { coupon, simulatedBeads, tigDefinition } from "../../support/studies.js";

const definition = tigDefinition();
const setting = { current: 150, travel_speed: 180, wire_feed_speed: 1.1 };
/** The chance at the setting, after a few coupons or none. */
function chanceAt(known: OutcomeModelOptions["known"] = [], coupons: readonly Coupon[] = []) {
  const model = buildOutcomeModel({ definition, coupons }, { known });
  return { ...conformance(model, [setting])[0]!, model };
}

/** Coupons at and about the setting that all fail. */
const failing = Array.from({ length: 8 }, (_, i) =>
  coupon(`F${i}`, {
    order: i + 1,
    settings: {
      current: 150 + (i % 3) - 1,
      travel_speed: 180 + 4 * ((i % 2) - 0.5),
      wire_feed_speed: 1.1 + 0.01 * (i - 4),
    },
    passed: { sound_bead: false },
  }),
);

describe("a setting that ran before", { timeout: 30_000 }, () => {
  const alone = chanceAt();
  const good = chanceAt([{ settings: setting, good: true }]);

  test("and was good makes its checks and its sizes likelier there, from before the first coupon on", () => {
    expect(good.perCheck.sound_bead!).toBeGreaterThan(alone.perCheck.sound_bead! + 0.1);
    expect(good.perResponse.bead_width!).toBeGreaterThan(alone.perResponse.bead_width! + 0.1);
    expect(good.model.coupons).toBe(0);
    expect(good.model.checks[0]!.coupons).toBe(0);
    expect(good.model.findings).toContainEqual(expect.objectContaining({ code: "known-setting" }));
  });

  test("counts for less than the same coupon logged", () => {
    const measured = { bead_width: 5.9, bead_height: 1.9 };
    const logged = chanceAt([], [coupon("A", { settings: setting, measured, passed: { sound_bead: true } })]);
    const told = chanceAt([{ settings: setting, good: true, measured, passed: { sound_bead: true } }]);
    for (const of of [(one: typeof good) => one.dimensions, (one: typeof good) => one.perCheck.sound_bead!]) {
      expect(of(told)).toBeGreaterThan(of(alone));
      expect(of(logged)).toBeGreaterThan(of(told));
    }
  });

  test("says less where a setting is not named, and nothing is taken for its middle", () => {
    const { wire_feed_speed: _feed, ...named } = setting;
    const part = chanceAt([{ settings: named, good: true }]);
    expect(part.chance).toBeGreaterThan(alone.chance);
    expect(part.chance).toBeLessThan(good.chance);
    const middle = chanceAt([{ settings: { ...named, wire_feed_speed: Math.sqrt(0.6 * 2) }, good: true }]);
    expect(part.chance).toBeLessThan(middle.chance);
    expect(part.model.findings.at(-1)!.message).toMatch(/good, wire_feed_speed not told/);
  });

  test("and was poor, or failed a check, makes it less likely", () => {
    const poor = chanceAt([{ settings: setting, good: false }]);
    const failed = chanceAt([{ settings: setting, passed: { sound_bead: false } }]);
    expect(poor.perCheck.sound_bead!).toBeLessThan(alone.perCheck.sound_bead!);
    // That its check failed says more of the check than that something was wrong.
    expect(failed.perCheck.sound_bead!).toBeLessThan(poor.perCheck.sound_bead!);
  });

  test("and a reading of it moves the size foreseen to it, in the words of study.json too", () => {
    const wide = chanceAt([{ settings: setting, measured: { bead_width: 9 } }]);
    const narrow = chanceAt([{ settings: setting, measured: { bead_width: 4 } }]);
    const width = ({ model }: typeof good) => model.posteriors[0]!.weights[0]!;
    expect(width(narrow)).toBeLessThan(width(alone));
    expect(width(alone)).toBeLessThan(width(wide));
    const said = tigDefinition({ known: ["150 A, 180 mm/min, 1.1 m/min, width 9 mm"] });
    const written = buildOutcomeModel({ definition: said, coupons: [] });
    expect(written.posteriors).toEqual(wide.model.posteriors);
  });

  test("wrongly remembered is outvoted by coupons, and named", () => {
    const against = chanceAt([], failing);
    const wrong = chanceAt([{ settings: setting, good: true }], failing);
    expect(wrong.perCheck.sound_bead!).toBeLessThan(0.15);
    expect(Math.abs(wrong.chance - against.chance)).toBeLessThan(0.1);
    expect(wrong.model.misremembered[0]!).toBeGreaterThan(0.6);
    expect(wrong.model.findings).toContainEqual(
      expect.objectContaining({ code: "known-setting-doubted", severity: "warning" }),
    );
  });

  test("whose size the coupons contradict is outvoted too", () => {
    const beads = simulatedBeads(3, 12, 0.03);
    const width = (known: OutcomeModelOptions["known"]) =>
      buildOutcomeModel({ definition, coupons: beads }, { known: known! }).posteriors[0]!.weights[0]!;
    const off = width([{ settings: setting, measured: { bead_width: 14 } }]);
    expect(Math.abs(off - width([]))).toBeLessThan(0.02);
  });

  test.each([
    [{ settings: { amps: 150 }, good: true }, /known\[0\]: amps is no factor of this study/],
    [{ settings: { current: Number.NaN }, good: true }, /current must be a number above 0/],
    [{ settings: { current: 150 }, measured: { glow: 1 } }, /glow is no response of this study/],
    [{ settings: { current: 150 } }, /says nothing of how it ran/],
  ])("that makes no sense is refused: %j", (known, told) => {
    expect(() => buildOutcomeModel({ definition, coupons: [] }, { known: [known] })).toThrow(told);
  });
});
