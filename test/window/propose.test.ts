import { describe, expect, test } from "vitest";
import { BeadbenchError } from "../../lib/errors/index.js";
import { buildOutcomeModel, settingLimits } from "../../lib/models/index.js";
import { type Aim, proposeNext } from "../../lib/window/index.js";
import { tigWearRing as rig } from "../rigs/tig-wear-ring.js";
import { loopCoupons } from "./studies.js";

const settingsOf = (proposals: ReturnType<typeof proposeNext>) =>
  proposals.proposals.map(({ settings }) =>
    Object.fromEntries(settings.map(({ factor, value }) => [factor, Number(value)])),
  );

describe("proposeNext", { timeout: 120_000 }, () => {
  const coupons = loopCoupons(rig, 12, 4);
  const model = buildOutcomeModel({ definition: rig.definition, coupons });

  test("before any coupon, feed over travel speed aims at the section specified", () => {
    // Conservation of mass with fullness 0.6 to 0.8: section between 0.6 and 0.8 of width times height, with
    // room for the doubt about where in the specification the rig will land.
    const settings = settingsOf(
      proposeNext(buildOutcomeModel({ definition: rig.definition, coupons: [] }), { coupons: 12 }),
    );
    const sections = settings.map(
      ({ wire_feed_speed: f, travel_speed: v }) => ((Math.PI / 4) * (f! * 1000)) / v!,
    );
    const inside = sections.filter((a) => a > 0.6 * 5 * 1.7 * 0.9 && a < 0.8 * 6 * 2.15 * 1.1);
    expect(inside.length).toBeGreaterThanOrEqual(10);
    expect(new Set(settings.map((s) => JSON.stringify(s))).size).toBe(12);
  });

  test.each<Aim>(["explore", "hit", "edge"])(
    "aim %s: distinct settings on the steps, each with its reason",
    (aim) => {
      const found = proposeNext(model, { coupons: 6, aim });
      const settings = settingsOf(found);
      expect(new Set(settings.map((s) => JSON.stringify(s))).size).toBe(6);
      for (const { low, high, step, name } of rig.definition.factors) {
        for (const setting of settings) {
          const steps = (setting[name]! - low) / step!;
          expect(Math.abs(steps - Math.round(steps))).toBeLessThan(1e-6);
          expect(setting[name]! >= low && setting[name]! <= high).toBe(true);
        }
      }
      for (const proposal of found.proposals) {
        expect(proposal.role).toBe(aim);
        expect(proposal.why).toMatch(
          /expected to raise the best chance by \d|alone it hardly changes the best chance/,
        );
        expect(proposal.expectedGain).toBeGreaterThanOrEqual(0);
      }
      // A batch teaches no less than any of its coupons, but for the error of simulating it.
      const most = Math.max(...found.proposals.map(({ expectedGain }) => expectedGain));
      expect(found.batchGain).toBeGreaterThan(most - 0.02);
      expect(proposeNext(model, { coupons: 6, aim })).toEqual(found);
    },
  );

  test("aim hit tries settings more promising than aim explore; aim edge stays nearer to its level", () => {
    // Hit asks what changes the best setting, so its batch may also hold long shots: compare the best of each.
    const promise = (aim: Aim): number =>
      Math.max(...proposeNext(model, { coupons: 6, aim }).proposals.map(({ chance }) => chance));
    expect(promise("hit")).toBeGreaterThan(promise("explore"));
    const level = 0.3;
    const edge = proposeNext(model, { coupons: 6, aim: "edge", level }).proposals;
    for (const { interval } of edge) expect(interval[0] <= level && interval[1] >= level).toBe(true);
  });

  test("confirmation coupons repeat the recommended setting", () => {
    const found = proposeNext(model, { coupons: 4, confirm: 3 });
    const repeats = found.proposals.filter(({ role }) => role === "confirm");
    expect(repeats).toHaveLength(3);
    for (const { settings } of repeats) expect(settings).toEqual(found.best.settings);
  });

  test("hard-to-change factors take few settings and change once at most within six", () => {
    const hard = {
      ...rig.definition,
      factors: rig.definition.factors.map((factor) =>
        factor.name === "standoff" ? { ...factor, change: "hard" as const } : factor,
      ),
    };
    const found = settingsOf(proposeNext(buildOutcomeModel({ definition: hard, coupons }), { coupons: 6 }));
    const changes = found.filter((s, i) => i > 0 && s.standoff !== found[i - 1]!.standoff);
    expect(changes.length).toBeLessThanOrEqual(1);
  });

  test("limits hold, even ones that cut the good settings away", () => {
    const limited = { ...rig.definition, limits: [{ quantity: "arc_energy", unit: "kJ/mm", max: 0.4 }] };
    const [limit] = settingLimits({ definition: limited });
    for (const settings of settingsOf(
      proposeNext(buildOutcomeModel({ definition: limited, coupons }), { coupons: 6 }),
    )) {
      expect(limit!.value(settings)).toBeLessThanOrEqual(0.4 + 1e-9);
    }
  });

  test("says when to stop: not at the start, but once the rig is known", () => {
    expect(
      proposeNext(buildOutcomeModel({ definition: rig.definition, coupons: [] }), { coupons: 1 }).stopping
        .advice,
    ).toBe("go-on");
    const known = buildOutcomeModel({ definition: rig.definition, coupons: loopCoupons(rig, 36, 5) });
    expect(proposeNext(known, { coupons: 1 }).stopping.advice).toBe("confirm");
  });

  test("refuses a count that is none", () => {
    expect(() => proposeNext(model, { coupons: 0 })).toThrow(BeadbenchError);
  });
});
