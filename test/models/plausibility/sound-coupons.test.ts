import { describe, expect, test } from "vitest";
import { buildOutcomeModel, soundCoupons } from "../../../lib/models/index.js";
import type { Coupon } from "../../../lib/study/index.js";
import { findWindow } from "../../../lib/window/index.js";
import { pennedStudies } from "../../support/pen-slips.js";
import { shows, simulatedBeads, sizeOf, tigDefinition } from "../../support/studies.js";

const definition = tigDefinition();
const beads = simulatedBeads(12, 24, 0.04);
const changed = (id: string, change: (bead: Coupon) => Coupon): readonly Coupon[] =>
  beads.map((bead) => (bead.id === id ? change(bead) : bead));
const tenfold = changed("S7", (bead) =>
  shows(bead, { measured: { bead_width: 10 * sizeOf(bead, "bead_width") } }),
);

describe("soundCoupons", () => {
  test("leaves sound coupons as they are, without a word", () => {
    expect(soundCoupons({ definition, coupons: beads })).toEqual({ coupons: beads, findings: [] });
  });

  test("takes a slipped size out of its coupon alone, keeps the rest, and names it", () => {
    const { coupons, findings } = soundCoupons({ definition, coupons: tenfold });
    const [slipped] = coupons.filter(({ id }) => id === "S7");
    expect(coupons.filter(({ id }) => id !== "S7")).toEqual(beads.filter(({ id }) => id !== "S7"));
    expect(Object.keys(slipped!.results)).toEqual(["bead_height", "sound_bead"]);
    expect(findings).toHaveLength(1);
    expect(findings[0]).toMatchObject({ code: "slips-left-out", severity: "warning", about: ["S7"] });
    expect(findings[0]!.message).toContain("bead_width of S7");
  });

  test("takes a coupon out with its mistyped setting", () => {
    const coupons = changed("S7", (bead) => ({ ...bead, settings: { ...bead.settings, current: 1450 } }));
    const sound = soundCoupons({ definition, coupons });
    expect(sound.coupons.map(({ id }) => id)).toEqual(beads.map(({ id }) => id).filter((id) => id !== "S7"));
    expect(sound.findings[0]!.message).toContain("all of S7 (current 1450 A)");
  });

  test("a coupon of nothing but a slip goes altogether: it would count as failed", () => {
    const bare = tenfold.map(({ results, ...bead }) => ({
      ...bead,
      results: { bead_width: results.bead_width! },
    }));
    const ids = soundCoupons({ definition, coupons: bare }).coupons.map(({ id }) => id);
    expect(ids).toEqual(beads.map(({ id }) => id).filter((id) => id !== "S7"));
  });

  test("hardly ever takes out what is sound, on rigs of other laws", () => {
    const studies = (["drawn", "odd law"] as const).flatMap((kind) => pennedStudies(kind, 6, 4242));
    let sound = 0;
    let lost = 0;
    for (const { definition: own, coupons, slips } of studies) {
      const { findings } = soundCoupons({ definition: own, coupons });
      const about = findings.flatMap((finding) => finding.about ?? []);
      sound += coupons.length - slips.size;
      lost += about.filter((id) => !slips.has(id)).length;
    }
    expect(sound).toBeGreaterThan(200);
    expect(lost / sound).toBeLessThanOrEqual(0.01);
  });
});

test("one decimal point in the wrong place does not move what a window claims", () => {
  const claim = (coupons: readonly Coupon[]): number =>
    findWindow(buildOutcomeModel({ definition, coupons }), { level: 0.8 }).best.conformance.chance;
  const truth = claim(beads);
  expect(claim(soundCoupons({ definition, coupons: tenfold }).coupons)).toBeGreaterThan(truth - 0.05);
  // The outcome model expects slips, and does as well without.
  expect(Math.abs(claim(tenfold) - truth)).toBeLessThan(0.05);
});
