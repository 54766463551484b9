import { describe, expect, test } from "vitest";
import { believedPriors, buildOutcomeModel } from "../../../lib/models/index.js";
import { makePredictor } from "../../../lib/models/outcome/index.js";
import { randomStream } from "../../../lib/numeric/index.js";
import type { Coupon } from "../../../lib/study/index.js";
import { loggedCoupon } from "../../rigs/closed-loop.js";
import { tigDefinition } from "../../support/studies.js";

const definition = tigDefinition();

interface Law {
  readonly size?: number;
  readonly perCurrent?: number;
  readonly perTravel?: number;
  readonly sound?: (current: number) => number;
}

/** True width of an invented rig; by default the exponents lie where Rosenthal's bounds put them. */
const width = (settings: Coupon["settings"], { size = 1, perCurrent = 0.8, perTravel = -0.5 }: Law): number =>
  6 *
  size *
  (Number(settings.current) / 141) ** perCurrent *
  (Number(settings.travel_speed) / 173) ** perTravel;

/** Coupons at scattered settings, on four days. */
function run(seed: number, count: number, law: Law = {}): readonly Coupon[] {
  const stream = randomStream(seed);
  return Array.from({ length: count }, (_, i) => {
    const at = (low: number, high: number): number => low * (high / low) ** stream.uniform();
    const settings = { current: at(100, 200), travel_speed: at(100, 300), wire_feed_speed: at(0.6, 2) };
    const bead = width(settings, law) * Math.exp(0.04 * stream.normal());
    const area = (1.131 * settings.wire_feed_speed * 1000) / settings.travel_speed;
    const height = ((law.size ?? 1) ** 2 * area * Math.exp(0.04 * stream.normal())) / (0.7 * bead);
    const sound = stream.uniform() < (law.sound?.(settings.current) ?? 0.97);
    const measured = sound ? { bead_width: bead, bead_height: height } : {};
    return loggedCoupon(
      i,
      settings,
      { passed: { sound_bead: sound }, measured: measured as Record<string, number> },
      Math.floor(i / 6),
    );
  });
}

describe("believedPriors", { timeout: 120_000 }, () => {
  test("believes the physics on rigs that follow it, with a slip of the pen too, and from few coupons", () => {
    for (let seed = 1; seed <= 20; seed++) {
      const coupons = run(seed, 18);
      expect(believedPriors({ definition, coupons })).toEqual({ priors: {}, widened: 1, findings: [] });
      const slipped = coupons.map((coupon, i) =>
        i === 3 && coupon.results.bead_width !== undefined
          ? {
              ...coupon,
              results: { ...coupon.results, bead_width: { kind: "measured" as const, value: 0.6 } },
            }
          : coupon,
      );
      expect(believedPriors({ definition, coupons: slipped }).widened).toBe(1);
    }
    for (const count of [0, 1, 3])
      expect(believedPriors({ definition, coupons: run(1, count) }).widened).toBe(1);
  });

  test.each<[string, Law, string]>([
    ["beads three times as large", { size: 3 }, "bead height"],
    ["width that falls with current", { perCurrent: -0.9 }, "bead width"],
    ["width that rises with travel speed", { perTravel: 0.8 }, "bead width"],
  ])("%s: says so, names the size, and doubts the physics more", (_, law, named) => {
    for (let seed = 1; seed <= 6; seed++) {
      const coupons = run(seed, 24, law);
      const { widened, findings, priors } = believedPriors({ definition, coupons });
      expect(findings).toHaveLength(1);
      expect(findings[0]!.message).toMatch(
        /^the physics assumed does not fit this rig: what came out was very unlikely/,
      );
      expect(findings[0]!.message).toContain(named);
      expect(widened).toBeGreaterThanOrEqual(2);
      expect(Object.keys(priors)).toContain("width_per_current_sd");
    }
  });

  test("with doubts widened, settings to come are foreseen no worse, from 12 coupons of a rig with a reversed law", () => {
    let usual = 0;
    let own = 0;
    for (let seed = 1; seed <= 8; seed++) {
      const law = { perCurrent: -0.9 };
      const coupons = run(seed, 12, law);
      const fresh = run(100 + seed, 20, law);
      const error = (priors: object): number => {
        const predictor = makePredictor(buildOutcomeModel({ definition, coupons }, { priors }));
        const means = new Float64Array(predictor.responses);
        return fresh.reduce((sum, { settings }) => {
          predictor.at(predictor.point(settings)).means(means);
          return sum + (means[0]! - Math.log(width(settings, law))) ** 2;
        }, 0);
      };
      usual += error({});
      own += error(believedPriors({ definition, coupons }).priors);
    }
    expect(own).toBeLessThanOrEqual(usual);
  });

  test("all failed, or every coupon at one setting, is no misfit by itself", () => {
    const failed = run(3, 6, { sound: () => 0 });
    expect(() => believedPriors({ definition, coupons: failed })).not.toThrow();
    const [one] = run(4, 1);
    const same = Array.from({ length: 8 }, (_, i) => ({ ...one!, id: `C${i}` }));
    expect(believedPriors({ definition, coupons: same }).widened).toBe(1);
  });
});
