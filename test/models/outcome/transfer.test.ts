import { describe, expect, test } from "vitest";
import { buildOutcomeModel } from "../../../lib/models/index.js";
import type { Coupon } from "../../../lib/study/index.js";
import { conformance } from "../../../lib/window/index.js";
import { expectDigits } from "../../support/digits.js";
import { coupon, shows, simulatedBeads, sizeOf, tigDefinition } from "../../support/studies.js";

const definition = tigDefinition();
const thicker = tigDefinition({ wire: { classification: "ER308L", diameter: "1.6 mm" } });
const beads = (seed: number, count: number): readonly Coupon[] =>
  simulatedBeads(seed, count, 0.03).map((bead) => shows(bead, { passed: { sound_bead: true } }));

/** Width of the interval within which the model holds the chance at one setting. */
const setting = { current: 145, travel_speed: 190, wire_feed_speed: 1.1 };

describe("an older study", { timeout: 30_000 }, () => {
  const older = { definition, coupons: beads(1, 24) };
  const fresh = beads(2, 3);

  test("that agrees sharpens what few coupons say", () => {
    const alone = conformance(buildOutcomeModel({ definition, coupons: fresh }), [setting])[0]!;
    const helped = buildOutcomeModel({ definition, coupons: fresh }, { older });
    expect(conformance(helped, [setting])[0]!.sd).toBeLessThan(alone.sd);
    expect(helped.transfer!.coupons).toBe(24);
    expect(helped.transfer!.weight.sound_bead).toBeGreaterThan(0.2);
  });

  test("with another offset is shifted; with other laws is forgotten", () => {
    const offset = older.coupons.map((bead) =>
      shows(bead, {
        measured: {
          bead_width: 1.2 * sizeOf(bead, "bead_width"),
          bead_height: sizeOf(bead, "bead_height") / 1.2,
        },
      }),
    );
    const shifted = buildOutcomeModel(
      { definition, coupons: beads(3, 9) },
      { older: { definition, coupons: offset } },
    );
    const { estimate, sd } = shifted.transfer!.shift["ln width"]!;
    expect(Math.abs(estimate - Math.log(1.2))).toBeLessThan(3 * sd);
    const opposite = older.coupons.map((bead) =>
      shows(bead, {
        measured: {
          bead_width: 36 / sizeOf(bead, "bead_width"),
          bead_height: (sizeOf(bead, "bead_height") * sizeOf(bead, "bead_width") ** 2) / 36,
        },
      }),
    );
    const forgotten = buildOutcomeModel(
      { definition, coupons: beads(3, 9) },
      {
        older: { definition, coupons: opposite },
      },
    );
    expect(forgotten.transfer!.inflation["ln width"]!).toBeGreaterThan(
      1.5 * shifted.transfer!.inflation["ln width"]!,
    );
  });

  test("of failures that new coupons contradict loses its say", () => {
    const failed = older.coupons.map((bead) =>
      coupon(bead.id, { settings: bead.settings, passed: { sound_bead: false } }),
    );
    const found = buildOutcomeModel(
      { definition, coupons: beads(4, 9) },
      { older: { definition, coupons: failed } },
    );
    expect(found.transfer!.weight.sound_bead!).toBeLessThan(0.02);
  });

  test("of another wire carries fullness over, and coupons with an unknown factor are left out", () => {
    const found = buildOutcomeModel({ definition: thicker, coupons: [] }, { older });
    expect(found.transfer!.coupons).toBe(24);
    expect(found.posteriors[1]!.weights[0]!).not.toBe(found.latent.priors[1]!.mean.constant);
    const more = tigDefinition({
      factors: [...definition.factors, { name: "standoff", unit: "mm", low: 2, high: 5 }],
    });
    expect(buildOutcomeModel({ definition: more, coupons: [] }, { older }).transfer!.coupons).toBe(0);
  });

  test("tells of a response of one's own by its name, in whatever unit, and of no other", () => {
    const studied = (name: string, unit: string) =>
      tigDefinition({
        responses: [{ name, unit, kind: "measured", spec: { lower: 0.1, upper: 0.4 }, scale: "log" }],
      });
    const shown = (name: string, perMm: number): readonly Coupon[] =>
      older.coupons.map(({ id, settings, order }) =>
        coupon(id, { settings, measured: { [name]: perMm * (0.2 + 0.002 * order) } }),
      );
    const now = studied("undercut_depth", "mm");
    const weights = (name: string, unit: string, perMm: number): number => {
      const old = { definition: studied(name, unit), coupons: shown(name, perMm) };
      return buildOutcomeModel({ definition: now, coupons: [] }, { older: old }).posteriors[0]!.weights[0]!;
    };
    const alone = buildOutcomeModel({ definition: now, coupons: [] }).posteriors[0]!.weights[0]!;
    const helped = weights("undercut_depth", "mm", 1);
    expect(Math.abs(helped - alone)).toBeGreaterThan(0.01);
    expectDigits(weights("undercut_depth", "in", 1 / 25.4), helped, 9);
    expect(weights("crater_depth", "mm", 1)).toBe(alone);
    expect(weights("undercut_depth", "deg", 1)).toBe(alone);
  });

  test("with a category: coupons of a level that the new study does not know are left out", () => {
    const gases = (levels: readonly string[]) =>
      tigDefinition({ factors: [...definition.factors, { name: "gas", kind: "category", levels }] });
    const coupons = older.coupons.map((bead, i) => ({
      ...bead,
      settings: { ...bead.settings, gas: i % 4 === 0 ? "helium" : "argon" },
    }));
    const taken = (levels: readonly string[]): number =>
      buildOutcomeModel(
        { definition: gases(levels), coupons: [] },
        { older: { definition: gases(["argon", "helium"]), coupons } },
      ).transfer!.coupons;
    expect(taken(["argon", "helium"])).toBe(24);
    expect(taken(["argon", "argon_hydrogen"])).toBe(18);
  });

  test("from which a setting was taken out of the rig's constants speaks at that constant", () => {
    const free = tigDefinition({
      factors: [...definition.factors, { name: "standoff", unit: "mm", low: 2, high: 5 }],
    });
    const held = tigDefinition({ rig: { settings: { standoff: "3 mm" } } });
    const old = { definition: held, coupons: older.coupons };
    expect(buildOutcomeModel({ definition: free, coupons: [] }, { older: old }).transfer!.coupons).toBe(24);
  });
});
