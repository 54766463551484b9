import { describe, expect, test } from "vitest";
import { allFailed, nextStep } from "../../../lib/models/gate/index.js";
import { couponOutcomes } from "../../../lib/models/outcome/coupon-outcomes.js";
import { checkStudy } from "../../../lib/models/plausibility/index.js";
import { fc } from "../../support/properties.js";
import { coupon, tigDefinition } from "../../support/studies.js";

const definition = tigDefinition({
  responses: [
    { name: "bead_width", unit: "mm", kind: "measured" },
    { name: "sound_bead", kind: "passFail" },
    { name: "free_of_spatter", kind: "passFail" },
  ],
});
/** Coupons with two verdicts each, undefined for one not given. */
const judged = (
  ...verdicts: readonly (readonly [sound?: boolean | undefined, clean?: boolean | undefined])[]
) => ({
  definition,
  coupons: verdicts.map(([sound, clean], i) =>
    coupon(`C${i + 1}`, {
      settings: { current: 100 + i, travel_speed: 150, wire_feed_speed: 1.2 },
      passed: {
        ...(sound === undefined ? {} : { sound_bead: sound }),
        ...(clean === undefined ? {} : { free_of_spatter: clean }),
      },
    }),
  ),
});

describe("that every coupon failed", () => {
  test("is said in plain words wherever one looks, with what failed how often", () => {
    const study = judged([false, true], [true, false], [false, false], []);
    const said =
      /^none of 3 coupons passed: sound bead failed on 2, free of spatter failed on 2; whether any setting/;
    expect(allFailed(study)[0]!.message).toMatch(said);
    for (const { findings } of [couponOutcomes(study), checkStudy(study)])
      expect(findings.find(({ code }) => code === "all-failed")?.message).toMatch(said);
    const { why } = nextStep({ ...study, integrity: [], buildSteps: [] } as never);
    expect(why).toContain("None of 3 coupons passed");
  });

  test("is said exactly where three or more were judged and none passed all its verdicts", () => {
    const verdict = fc.constantFrom(true, false, undefined);
    fc.assert(
      fc.property(fc.array(fc.tuple(verdict, verdict), { maxLength: 6 }), (verdicts) => {
        const seen = verdicts.filter((pair) => pair.some((one) => one !== undefined));
        const failed = seen.filter((pair) => pair.includes(false));
        const wanted = seen.length >= 3 && failed.length === seen.length;
        expect(allFailed(judged(...verdicts)).length).toBe(wanted ? 1 : 0);
      }),
    );
  });
});
