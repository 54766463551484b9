import { describe, expect, test } from "vitest";
import {
  drawExponents,
  drawNormalQuantiles,
  drawPredicted,
  drawResiduals,
  drawResponse,
  renderSvg,
} from "../../lib/charts/index.js";
import { chosenQuality, fitStudy } from "../../lib/models/index.js";
import type { Coupon } from "../../lib/study/index.js";
import { beadsOf, laws, widthStudy } from "../models/bead/support.js";
import { shows, sizeOf, tigDefinition } from "../support/studies.js";

const at = { current: 150, travel_speed: 200, wire_feed_speed: 1.3 };
const lean = tigDefinition({ responses: [{ name: "lean", unit: "mm", kind: "measured" }] });

/** The first of some simulated studies that the form of their law is chosen for, as it is for most. */
function chosenAs(law: "power-law" | "quadratic" | "gaussian-process", count: number): readonly Coupon[] {
  for (let seed = 1; seed <= 12; seed++) {
    const beads = beadsOf(laws[law], seed, count);
    if (fitStudy({ definition: widthStudy, coupons: beads }).responses[0]!.chosen === law) return beads;
  }
  throw new Error(`no study was fitted by ${law}`);
}

/** Studies whose chosen form is each of those that are drawn differently. */
const studies = [
  ["power-law", widthStudy, chosenAs("power-law", 24)],
  ["quadratic", widthStudy, chosenAs("quadratic", 40)],
  ["gaussian-process", widthStudy, chosenAs("gaussian-process", 40)],
  [
    "linear",
    lean,
    beadsOf(laws["power-law"], 1, 18).map((c) =>
      shows(c, { measured: { lean: sizeOf(c, "bead_width") - 6 } }),
    ),
  ],
] as const;

describe("charts of a fit", () => {
  test.each(studies)(
    "%s: every chart draws, and residuals stand in the unit of the errors",
    async (form, study, beads) => {
      const fit = fitStudy({ definition: study, coupons: beads });
      const name = fit.responses[0]!.response;
      expect(fit.responses[0]!.chosen).toBe(form);
      const drawings = await Promise.all(
        [
          drawExponents(fit, name),
          drawResponse({ definition: study, coupons: beads }, fit, { response: name, at }),
          drawPredicted({ definition: study, coupons: beads }, fit, name),
          drawResiduals({ coupons: beads }, fit, name),
          drawNormalQuantiles({ coupons: beads }, fit, name),
        ].map((spec) => renderSvg(spec)),
      );
      for (const svg of drawings) expect(svg).not.toMatch(/NaN|undefined/);
      expect(drawings[3]).toContain(chosenQuality(fit, name).errorUnit === "mm" ? "(mm)" : "(%)");
    },
  );

  test("a response without a model is refused by name", () => {
    const fit = fitStudy({ definition: widthStudy, coupons: studies[0][2] });
    expect(() => drawResiduals({ coupons: studies[0][2] }, fit, "penetration")).toThrow(
      /no model of "penetration"/,
    );
  });
});
