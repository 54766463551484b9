import { describe, expect, test } from "vitest";
import {
  agreementFindings,
  buildOutcomeModel,
  compareModels,
  fitStudy,
  fromLinkScale,
  makePredictor,
  predictBead,
} from "../../../lib/models/index.js";
import { mean } from "../../../lib/numeric/index.js";
import type { Coupon } from "../../../lib/study/index.js";
import { expectDigits } from "../../support/digits.js";
import { shows, sizeOf } from "../../support/studies.js";
import { migBeads, migStudy } from "../bead/together-laws.js";

const study = { definition: migStudy };

/** Root mean square error of ln width where each setting is foreseen by a model made by hand without it. */
function leftOutByHand(
  beads: readonly Coupon[],
  foresee: (rest: readonly Coupon[], at: Coupon) => number,
): number {
  const key = ({ settings }: Coupon): string => JSON.stringify(settings);
  const squares = beads.map((bead) => {
    const rest = beads.filter((other) => key(other) !== key(bead));
    return Math.log(foresee(rest, bead) / sizeOf(bead, "bead_width")) ** 2;
  });
  return Math.sqrt(mean(squares));
}

describe("compareModels", () => {
  const beads = migBeads("interacting", 2, 10, 14);

  test("tells the outcome model's error at settings it has not seen, repeats and all", () => {
    const [said] = compareModels({ ...study, coupons: beads }, fitStudy({ ...study, coupons: beads }));
    const expected = leftOutByHand(beads, (coupons, { settings }) => {
      const model = buildOutcomeModel({ ...study, coupons });
      const predictor = makePredictor(model);
      const means = new Float64Array(1);
      predictor.at(predictor.point(settings)).means(means);
      return fromLinkScale(model.latent.links[0]!, means[0]!);
    });
    expectDigits(said!.outcome, expected, 9);
    expect(said).toMatchObject({ response: "bead_width", errorUnit: "1" });
  });

  test("tells near the error that the forms make when they are fitted again without each setting", () => {
    const [said] = compareModels({ ...study, coupons: beads }, fitStudy({ ...study, coupons: beads }));
    const again = leftOutByHand(
      beads,
      (coupons, { settings }) =>
        predictBead(study, fitStudy({ ...study, coupons }), [settings])[0]![0]!.estimate,
    );
    expect(said!.forms / again).toBeGreaterThan(0.75);
    expect(said!.forms / again).toBeLessThan(1.2);
  });

  test("leaves out what the fit left out, and verdicts do not matter", () => {
    const wild = shows(beads[3]!, { measured: { bead_width: 40 } });
    const coupons = beads.map((bead) => (bead === beads[3] ? wild : bead));
    const fit = fitStudy({ ...study, coupons }, { without: [wild.id] });
    const clean = beads.filter((bead) => bead !== beads[3]);
    expect(compareModels({ ...study, coupons }, fit)).toEqual(
      compareModels({ ...study, coupons: clean }, fitStudy({ ...study, coupons: clean })),
    );
  });
});

describe("agreementFindings", () => {
  const errors = { response: "bead_width", errorUnit: "1", outcome: 0.081, forms: 0.052 };

  test("name both errors and what is used", () => {
    for (const better of [undefined, "outcome", "forms"] as const) {
      const { message } = agreementFindings([{ ...errors, ...(better && { better }) }])[0]!;
      expect(message).toMatch(/^Bead width: the preset rests on the outcome model, which errs 8\.1 %/);
      expect(message).toMatch(/the forms of fit 5\.2 %/);
    }
  });

  test("warn where the forms foresee clearly better, and only there", () => {
    const severity = (better?: "outcome" | "forms") =>
      agreementFindings([{ ...errors, ...(better && { better }) }])[0]!.severity;
    expect([severity(), severity("outcome"), severity("forms")]).toEqual(["info", "info", "warning"]);
  });
});
